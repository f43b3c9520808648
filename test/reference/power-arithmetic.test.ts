// biome-ignore-all lint/suspicious/noApproximativeNumericConstant: the table is quoted as worked, to six figures
import { describe, expect, it } from 'vitest';
import { dBV, dBW, decibelsOfPower, fromDBW, voltageRatio } from '../../src/units/decibel.js';
import { currentFor, peakOfSine, voltageFor } from '../../src/units/ohms-law.js';
import { ohms, watts } from '../../src/units/quantity.js';

/**
 * P in W, R in ohm, V rms, V peak, A rms, A peak, dBW, dBV to six significant figures.
 * Source: Ohm's and Joule's law, worked by hand.
 */
const WORKED = [
  [0.25, 8, 1.41421, 2.0, 0.176777, 0.25, -6.0206, 3.0103],
  [1, 8, 2.82843, 4.0, 0.353553, 0.5, 0, 9.0309],
  [1, 4, 2.0, 2.82843, 0.5, 0.707107, 0, 6.0206],
  [10, 8, 8.94427, 12.6491, 1.11803, 1.58114, 10, 19.0309],
  [50, 8, 20.0, 28.2843, 2.5, 3.53553, 16.9897, 26.0206],
  [60, 6, 18.9737, 26.8328, 3.16228, 4.47214, 17.7815, 25.563],
  [75, 16, 34.641, 48.9898, 2.16506, 3.06186, 18.7506, 30.7918],
  [100, 8, 28.2843, 40.0, 3.53553, 5.0, 20, 29.0309],
  [100, 4, 20.0, 28.2843, 5.0, 7.07107, 20, 26.0206],
  [250, 2, 22.3607, 31.6228, 11.1803, 15.8114, 23.9794, 26.9897],
  [500, 4, 44.7214, 63.2456, 11.1803, 15.8114, 26.9897, 33.0103],
  [2000, 2, 63.2456, 89.4427, 31.6228, 44.7214, 33.0103, 36.0206],
] as const;

/** Half a unit of the sixth figure. */
const closeToSixFigures = (found: number, expected: number) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(
    expected === 0 ? 1e-12 : 0.5001 * 10 ** (Math.floor(Math.log10(Math.abs(expected))) - 5),
  );

describe('power arithmetic', () => {
  it.each(WORKED)('%d W in %d ohm agrees with the worked table', (P, R, V, Vpk, A, Apk, levelW, levelV) => {
    const voltage = voltageFor(watts(P), ohms(R));
    const current = currentFor(watts(P), ohms(R));
    closeToSixFigures(voltage, V);
    closeToSixFigures(peakOfSine(voltage), Vpk);
    closeToSixFigures(current, A);
    closeToSixFigures(peakOfSine(current), Apk);
    closeToSixFigures(dBW(P), levelW);
    closeToSixFigures(dBV(voltage), levelV);
    expect((voltage * voltage) / R / P - 1).toBeCloseTo(0, 14);
    expect(voltage / R / current - 1).toBeCloseTo(0, 14);
  });

  it('100 W in 8 ohm is 20 sqrt(2) V, 40 V peak (closed form, 1e-12 relative)', () => {
    const voltage = voltageFor(watts(100), ohms(8));
    expect(voltage / (20 * Math.SQRT2) - 1).toBeCloseTo(0, 12);
    expect(peakOfSine(voltage) / 40 - 1).toBeCloseTo(0, 12);
  });

  it('levels survive the round trip to 1e-12', () => {
    for (const value of [1e-6, 0.25, 1, 2.83, 1e4]) {
      expect(fromDBW(dBW(value)) / value - 1).toBeCloseTo(0, 12);
      expect(voltageRatio(dBV(value)) / value - 1).toBeCloseTo(0, 12);
    }
  });

  it('twice the power is 3.0103 dB and 1 dB is 1.122018 in volts (10 log10, 10^(1/20))', () => {
    expect(decibelsOfPower(2)).toBeCloseTo(3.0103, 5);
    expect(voltageRatio(1)).toBeCloseTo(1.122018, 6);
  });
});
