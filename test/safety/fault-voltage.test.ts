import { describe, expect, it } from 'vitest';
import type { UnitSupply } from '../../src/bench/unit-supply.js';
import { faultVoltage } from '../../src/safety/fault-voltage.js';
import { requireRatings } from '../../src/safety/supply-rating.js';
import { planOf, stand } from './stand.js';

describe('faultVoltage', () => {
  // Which part of the supply stands across an output when a device in it shorts: Kirchhoff, no other source needed.
  it.each<[UnitSupply, number, number, string]>([
    [{ kind: 'split', outputs: 'single-ended', rail_V: 56 }, 56, 56, 'one rail to ground'],
    [{ kind: 'split', outputs: 'bridged', rail_V: 56 }, 112, 56, 'rail to rail'],
    [{ kind: 'single', outputs: 'bridged', supply_V: 14.4 }, 14.4, 14.4, 'the whole supply'],
    [{ kind: 'single', outputs: 'single-ended', supply_V: 60 }, 60, 60, 'the whole supply'],
    [
      { kind: 'fault', outputs: 'transformer', fault_V: 450 },
      450,
      450,
      'the fault case of the output transformer',
    ],
    [{ kind: 'fault', outputs: null, fault_V: 80 }, 80, 80, 'as stated at the bench'],
  ])('of %j is %d V, %d V to ground', (supply, voltage_V, toGround_V, words) => {
    expect(faultVoltage(supply)).toEqual({ voltage_V, toGround_V, words });
  });

  it('is not known where nobody has said', () => {
    expect(faultVoltage(null)).toBeNull();
    expect(faultVoltage(undefined)).toBeNull();
  });
});

describe('requireRatings', () => {
  const plan = planOf('sweep: {level: 5 W, frequencies: [1 kHz], driven: one}');
  const rated = stand.channels[0]!.attenuatorRating_Vpk;
  const supply = (fault_V: number) => ({
    ...stand,
    unitSupply: { kind: 'fault', outputs: null, fault_V } as const,
  });

  it('takes a supply up to the rating of the attenuators', () => {
    expect(() => requireRatings(plan, supply(rated))).not.toThrow();
    expect(() => requireRatings(plan, stand)).not.toThrow();
  });

  it('refuses a higher one, whatever the planned level, and names the channels that are used', () => {
    expect(() => requireRatings(plan, supply(rated + 1))).toThrow(/that of channel 1 for .* V peak/);
    expect(() => requireRatings(plan, supply(rated + 1))).not.toThrow(/channel 2/);
  });

  it('has nothing to say where nothing is connected', () => {
    expect(() => requireRatings(planOf('ask: hello'), supply(1e4))).not.toThrow();
  });
});
