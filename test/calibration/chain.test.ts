import { describe, expect, it } from 'vitest';
import {
  loadVoltsPerUnit,
  sampleForLoadVolts,
  voltageUncertainties,
  voltsAtLoad,
} from '../../src/calibration/chain.js';
import { chain } from '../sequence/bench-fixture.js';

describe('chain', () => {
  const taken = chain(1, { inputFullScale_Vpk: 4, attenuator_ratio: 25 });

  it('turns samples into load volts and back', () => {
    expect(loadVoltsPerUnit(taken)).toBe(100);
    expect(voltsAtLoad(taken, 0.4)).toBe(40);
    expect(sampleForLoadVolts(taken, 40)).toBe(0.4);
  });

  it('states uncertainties only when every part does', () => {
    expect(voltageUncertainties(taken)).toBeNull();
    const stated = chain(1, { inputUncertainty_percent: 0.1, attenuatorUncertainty_percent: 0.2 });
    expect(voltageUncertainties(stated)).toEqual([0.1, 0.2]);
  });
});
