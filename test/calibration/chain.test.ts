import { describe, expect, it } from 'vitest';
import { loadVoltsPerUnit } from '../../src/calibration/chain.js';
import { chain } from '../sequence/bench-fixture.js';

describe('loadVoltsPerUnit', () => {
  it('is what the input reads at full scale, times the attenuator', () => {
    expect(loadVoltsPerUnit(chain(1, { inputFullScale_Vpk: 4, attenuator_ratio: 25 }))).toBe(100);
  });
});
