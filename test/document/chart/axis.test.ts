import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type LaidAxis,
  layAxis,
  namedTicks,
  shareOn,
  tickNumber,
  tickWords,
} from '../../../src/document/chart/axis.js';
import type { Axis } from '../../../src/document/model/block.js';

const LOG: Axis = { name: 'Power, W', unit: 'W', scale: 'log' };
const LINEAR: Axis = { name: 'Power, W', unit: 'W', scale: 'linear' };
const TIME: Axis = { name: 'Time', unit: 's', scale: 'linear', from: 0 };
const ends = ({ low, high }: LaidAxis) => [low, high];
const ticks = (axis: LaidAxis) => axis.ticks.map(({ at }) => at);

describe('a logarithmic axis', () => {
  test('ends at the nearest 1, 2 or 5 beyond the values, and at a value that is round already', () => {
    expect(ends(layAxis(LOG, [0.0031, 2.4]))).toEqual([0.002, 5]);
    expect(ends(layAxis(LOG, [0.1, 100]))).toEqual([0.1, 100]);
  });

  test('is marked at 1, 2 and 5 of each decade, the decades first', () => {
    const { ticks: marks } = layAxis(LOG, [1, 20]);
    expect(marks.map(({ at }) => at)).toEqual([1, 2, 5, 10, 20]);
    expect(marks.filter(({ major }) => major).map(({ at }) => at)).toEqual([1, 10]);
  });

  test('spans a decade at least, with a single value in its middle', () => {
    const axis = layAxis({ ...LOG, ends: 'close' }, [100, 100]);
    expect(Math.log10(axis.high / axis.low)).toBeGreaterThanOrEqual(1);
    expect(shareOn(axis, 100)).toBeCloseTo(0.5, 12);
  });

  test('that ends close leaves the same share free at both ends: 2 % of three decades', () => {
    const axis = layAxis({ ...LOG, ends: 'close' }, [1, 1000]);
    expect(ends(axis)).toEqual([expect.closeTo(10 ** -0.06, 12), expect.closeTo(10 ** 3.06, 6)]);
    expect(ticks(axis)).toEqual([1, 2, 5, 10, 20, 50, 100, 200, 500, 1000]);
  });

  test('leaves out what has no place on it, and without any value spans 1 to 10', () => {
    expect(layAxis(LOG, [0, -1, Number.NaN, Number.POSITIVE_INFINITY, 3, 30])).toEqual(layAxis(LOG, [3, 30]));
    expect(ends(layAxis(LOG, [0]))).toEqual([1, 10]);
  });

  test('makes no room for what lies seven decades below the rest', () => {
    expect(layAxis(LOG, [1e-9, 1, 100]).low).toBe(1);
  });

  test('has a place by equal ratios', () => {
    const axis = layAxis(LOG, [1, 1000]);
    expect([1, 10, 100, 1000].map((value) => shareOn(axis, value))).toEqual(
      [0, 1 / 3, 2 / 3, 1].map((share) => expect.closeTo(share, 12)),
    );
    expect(shareOn(axis, 0)).toBe(Number.NEGATIVE_INFINITY);
  });
});

describe('a linear axis', () => {
  test('ends at round steps', () => {
    expect(ticks(layAxis({ ...LINEAR, from: 0 }, [61, 96.3]))).toEqual([0, 20, 40, 60, 80, 100]);
    expect(ends(layAxis(LINEAR, [-130, 3]))).toEqual([-140, 20]);
  });

  test('spans 2 % of its value at least, and a single zero too', () => {
    const narrow = layAxis(LINEAR, [99.9, 100]);
    expect(narrow.high - narrow.low).toBeGreaterThanOrEqual(2);
    expect(narrow.high - narrow.low).toBeLessThan(4);
    expect(layAxis(LINEAR, [0]).high).toBeGreaterThan(0);
  });

  test('of time is marked by the clock', () => {
    expect(ticks(layAxis(TIME, [47]))).toEqual([0, 10, 20, 30, 40, 50]);
    expect(ticks(layAxis(TIME, [600]))).toEqual([0, 120, 240, 360, 480, 600]);
    expect(ends(layAxis({ ...TIME, ends: 'close' }, [47]))).toEqual([0, 47]);
  });

  test('holds thousands of values, more than an engine takes as arguments', () => {
    const many = Array.from({ length: 300_000 }, (_, i) => i + 1);
    expect(shareOn(layAxis(LINEAR, many), 150_000)).toBeCloseTo(0.5, 1);
    expect(shareOn(layAxis({ ...LOG, from: 1 }, many), 1)).toBeCloseTo(0, 12);
  });
});

describe('an axis of powers', () => {
  const powers: Axis = { ...LINEAR, zooms: true };

  test('begins at zero when they lie far apart, and then has no decibels', () => {
    expect(layAxis(powers, [60, 91])).toMatchObject({ low: 0, zero_dB: null });
  });

  test('holds them closely when they lie within a ratio of 1.5, the highest being 0 dB', () => {
    const axis = layAxis(powers, [88, 90]);
    expect(axis.low).toBeGreaterThan(80);
    expect(axis.zero_dB).toBe(90);
  });
});

test('every value lies on its axis, and so does every mark', () => {
  const value = fc.double({ min: 1e-3, max: 1e3, noNaN: true });
  const declared = fc.record({
    name: fc.constant('x'),
    unit: fc.constantFrom('W', 's', 'Hz', '%' as const),
    scale: fc.constantFrom('log', 'linear' as const),
    ends: fc.constantFrom(undefined, 'close' as const),
  });
  fc.assert(
    fc.property(
      declared,
      fc.array(value, { minLength: 1, maxLength: 20 }),
      ({ ends: end, ...axis }, values) => {
        const laid = layAxis({ ...axis, ...(end && { ends: end }) }, values);
        expect(laid.high).toBeGreaterThan(laid.low);
        for (const share of [...values, ...ticks(laid)].map((one) => shareOn(laid, one))) {
          expect(share).toBeGreaterThanOrEqual(-1e-6);
          expect(share).toBeLessThanOrEqual(1 + 1e-6);
        }
      },
    ),
    { seed: 11 },
  );
});

describe('the names of marks', () => {
  const named = (axis: LaidAxis, length: number) =>
    namedTicks(
      axis,
      String,
      (value) => length * shareOn(axis, value),
      (name) => name.length,
    ).map(({ name }) => name);

  test('are all there where they have room', () => {
    expect(named(layAxis(LOG, [1, 100]), 60)).toEqual(['1', '2', '5', '10', '20', '50', '100']);
  });

  test('are those of the decades where not, and where these touch too, those that do not', () => {
    expect(named(layAxis(LOG, [1, 100]), 12)).toEqual(['1', '10', '100']);
    expect(named(layAxis({ ...LINEAR, from: 0 }, [100]), 6)).toEqual(['0', '40', '80']);
  });

  test('carry their unit, or stand as plain numbers beside the name of an axis', () => {
    expect([0.05, 2000, 90].map((value) => tickWords(value, value === 90 ? 's' : 'W'))).toEqual([
      '50 mW',
      '2 kW',
      '1 min 30 s',
    ]);
    expect([20, 2000].map((value) => tickNumber(value, 'Hz'))).toEqual(['20', '2k']);
    expect(tickNumber(-20, 'dB')).toBe('−20');
  });
});
