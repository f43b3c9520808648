import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatQuantity } from '../../src/units/format.js';
import { BadQuantity, parseFullScale, parseQuantity } from '../../src/units/parse.js';
import type { Unit } from '../../src/units/quantity.js';
import { UNIT_RULES } from '../../src/units/unit-rules.js';

const units = Object.keys(UNIT_RULES) as Unit[];

describe('parseQuantity', () => {
  it.each<[string, Unit, number]>([
    ['50 mW', 'W', 0.05],
    ['1.2 kW', 'W', 1200],
    ['8 ohm', 'ohm', 8],
    ['8 Ω', 'ohm', 8],
    ['8\u2126', 'ohm', 8],
    ['0.1 %', '%', 0.1],
    ['20 ppm', '%', 0.002],
    ['1 kHz', 'Hz', 1000],
    ['31.5Hz', 'Hz', 31.5],
    ['-3 dB', 'dB', -3],
    ['\u22123 dB', 'dB', -3],
    ['2.83 V', 'V', 2.83],
    ['10 µV', 'V', 10e-6],
    ['10 μV', 'V', 10e-6],
    ['1/8', '1', 0.125],
    ['12.5 %', '1', 0.125],
    ['300 s', 's', 300],
    ['5 min', 's', 300],
    ['1 h', 's', 3600],
    ['7 d', 's', 604_800],
    ['500 kJ', 'J', 500_000],
    ['2 kWh', 'J', 7.2e6],
    ['22 uH', 'H', 22e-6],
    ['0.68 uF', 'F', 0.68e-6],
    ['10 mF', 'F', 0.01],
    ['50 ppm/K', '1/K', 50e-6],
    ['0.3 K/W', 'K/W', 0.3],
    ['25 degC', 'degC', 25],
    ['60 °C', 'degC', 60],
    ['20 V/µs', 'V/us', 20],
    ['1\u202fkHz', 'Hz', 1000],
    ['1\u2009kHz', 'Hz', 1000],
    ['1e3 Hz', 'Hz', 1000],
    ['.5 W', 'W', 0.5],
  ])('reads %j as %s', (text, unit, value) => {
    expect(parseQuantity(text, unit)).toBe(value);
  });

  it.each<[string, Unit, string]>([
    [
      '8 ohm',
      'W',
      "expected a power such as 50 mW or 100 W, got '8 ohm'. 'ohm' is the unit of a resistance.",
    ],
    ['8', 'ohm', "expected a resistance such as 8 ohm or 100 mohm, got '8'. Give the unit."],
    ['50 MW', 'W', "Units are case-sensitive: 'mW' is one that fits here"],
    ['1 khz', 'Hz', "Units are case-sensitive: 'kHz' is one that fits here"],
    ['0,1 %', '%', 'Write the decimal mark as a point.'],
    ['NaN W', 'W', "got 'NaN W'"],
    ['inf W', 'W', "got 'inf W'"],
    ['Infinity V', 'V', "got 'Infinity V'"],
    ['0x10 V', 'V', "got '0x10 V'"],
    ['1e999 W', 'W', "got '1e999 W'"],
    ['1e-999 W', 'W', "got '1e-999 W'"],
    ['1/0', '1', "got '1/0'"],
    ['--3 dB', 'dB', "got '--3 dB'"],
    ['', 'W', "got ''"],
    ['1 2 W', 'W', "got '1 2 W'"],
    ['1\u0000 W', 'W', "got '1\\u0000 W'"],
  ])('refuses %j as %s and says why', (text, unit, message) => {
    expect(() => parseQuantity(text, unit)).toThrow(BadQuantity);
    expect(() => parseQuantity(text, unit)).toThrow(message);
  });

  it('refuses a text of a megabyte at once, with a short message', () => {
    const long = `${'9'.repeat(1 << 20)} W`;
    expect(() => parseQuantity(long, 'W')).toThrow(/^expected a power .{1,120}$/);
  });

  it('gives a number or a BadQuantity for any text', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 80 }), fc.constantFrom(...units), (text, unit) => {
        try {
          return Number.isFinite(parseQuantity(text, unit));
        } catch (error) {
          return error instanceof BadQuantity;
        }
      }),
      { seed: 1, numRuns: 2000 },
    );
  });

  it('reads back to 1e-14 what was printed with 16 figures', () => {
    const value = fc.double({ min: 1e-9, max: 1e9, noNaN: true });
    fc.assert(
      fc.property(value, fc.constantFrom(...units), fc.boolean(), (size, unit, negative) => {
        const original = negative ? -size : size;
        const back = parseQuantity(formatQuantity(original, unit, { figures: 16 }), unit);
        return Math.abs(back / original - 1) < 1e-14;
      }),
      { seed: 2, numRuns: 3000 },
    );
  });

  it('prints the same text again after reading it', () => {
    const value = fc.double({ min: 1e-12, max: 1e12, noNaN: true });
    fc.assert(
      fc.property(value, fc.constantFrom(...units), (size, unit) => {
        const text = formatQuantity(size, unit);
        // What is printed as a bound holds no value to read.
        fc.pre(!text.startsWith('below'));
        return formatQuantity(parseQuantity(text, unit), unit) === text;
      }),
      { seed: 3, numRuns: 5000 },
    );
  });
});

describe('parseFullScale', () => {
  it('turns rms into peak and leaves peak alone', () => {
    expect(parseFullScale('4 V rms')).toBeCloseTo(5.656854249, 9);
    expect(parseFullScale('5.66 V peak')).toBe(5.66);
    expect(parseFullScale('500 mV pk')).toBe(0.5);
  });

  it.each(['4 V', '4 rms', '0 V rms', '-1 V peak', '4', 'NaN V rms', '4 W rms'])('refuses %j', (text) => {
    expect(() => parseFullScale(text)).toThrow(
      /^expected a full-scale voltage such as 4 V rms or 5\.66 V peak/,
    );
  });
});
