import { describe, expect, it } from 'vitest';
import { formatDuration, formatQuantity } from '../../src/units/format.js';
import type { Unit } from '../../src/units/quantity.js';

describe('formatQuantity', () => {
  it.each<[number, Unit, string]>([
    [104.77, 'W', '104.8 W'],
    [0.05, 'W', '50.0 mW'],
    [0.99997, 'W', '1.00 W'],
    [1500, 'W', '1.50 kW'],
    [0.0031, '%', '0.0031 %'],
    [1e-5, '%', '0.00001 %'],
    [2.7e-14, '%', 'below 0.00001 %'],
    [-7.4e-18, 'V', 'below 1 nV'],
    [0, '%', '0 %'],
    [0.99996, '%', '1 %'],
    [10.04, '%', '10 %'],
    [19.775391, 'Hz', '19.78 Hz'],
    [1000, 'Hz', '1 kHz'],
    [999.755859, 'Hz', '999.8 Hz'],
    [31.5, 'Hz', '31.5 Hz'],
    [28.28427, 'V', '28.3 V'],
    [8, 'ohm', '8 ohm'],
    [8.012, 'ohm', '8.012 ohm'],
    [-3, 'dB', '-3 dB'],
    [0.125, '1', '0.125'],
    [0, 'W', '0.00 W'],
    [1e-12, 'W', '0.00100 nW'],
    [12345, '%', '12345 %'],
    [Number.NaN, 'W', '-'],
    [Number.POSITIVE_INFINITY, 'dB', '-'],
    [22e-6, 'H', '22 uH'],
  ])('prints %d in %s as %s', (value, unit, text) => {
    expect(formatQuantity(value, unit)).toBe(text);
  });

  it('prints as many figures as it is asked for', () => {
    expect(formatQuantity(104.77, 'W', { figures: 6 })).toBe('104.770 W');
    expect(formatQuantity(1, '%', { figures: 6, trim: true })).toBe('1 %');
  });
});

describe('formatDuration', () => {
  it.each([
    [45, '45 s'],
    [59.6, '1 min'],
    [250, '4 min 10 s'],
    [3900, '1 h 5 min'],
    [3599.7, '1 h'],
    [-1, '0 s'],
  ])('prints %d seconds as %s', (seconds, text) => {
    expect(formatDuration(seconds)).toBe(text);
  });
});
