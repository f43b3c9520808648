import { describe, expect, it } from 'vitest';
import {
  expandedPowerUncertainty,
  fromLimits,
  standardPowerUncertainty,
} from '../../src/measure/uncertainty.js';
import { relativeError } from '../measure/signals.js';

/**
 * Load +-0.5 %, attenuator +-0.2 %, converter gain +-0.3 %, all rectangular, repeatability of the voltage 0.1 %.
 * Source: worked by hand after JCGM 100:2008, 5.1.2 (clause number from memory): relative variances in
 * %^2 0.0833333 + 0.0533333 + 0.12 + 0.04 = 0.296667.
 */
describe('the worked case of a power of V^2 / R', () => {
  const volts = [fromLimits(0.2), fromLimits(0.3)];
  const ohms = [fromLimits(0.5)];

  it('has a standard uncertainty of 0.544671 % and an expanded one of 1.089342 %', () => {
    const parts = { voltage_percent: [...volts, 0.1], resistance_percent: ohms };
    expect(relativeError(standardPowerUncertainty(parts), 0.544671)).toBeLessThan(1e-6);
    expect(relativeError(expandedPowerUncertainty(parts), 1.089342)).toBeLessThan(1e-6);
  });

  it('has 0.516398 % and 1.032796 % when the repeatability is one of power', () => {
    const parts = { voltage_percent: volts, resistance_percent: ohms, power_percent: [0.1] };
    expect(relativeError(standardPowerUncertainty(parts), 0.516398)).toBeLessThan(1e-6);
    expect(relativeError(expandedPowerUncertainty(parts), 1.032796)).toBeLessThan(1e-6);
  });
});

describe('uncertainty', () => {
  // 0.1 % in V is 0.2 % in P: partial derivatives of V^2 / R.
  it('doubles for volts and stays for ohms', () => {
    expect(standardPowerUncertainty({ voltage_percent: [0.1], resistance_percent: [] })).toBeCloseTo(0.2, 15);
    expect(standardPowerUncertainty({ voltage_percent: [], resistance_percent: [0.1] })).toBeCloseTo(0.1, 15);
  });

  it('is zero when nothing is uncertain', () => {
    expect(expandedPowerUncertainty({ voltage_percent: [], resistance_percent: [] })).toBe(0);
  });
});
