import fc from 'fast-check';
import { expect, test } from 'vitest';
import { linearAxis, logAxis } from '../../../src/document/chart/ticks.js';

test('a logarithmic axis ends at the nearest 1, 2 or 5 beyond the values', () => {
  const { low, high, labelled } = logAxis([0.0031, 2.4]);
  expect(10 ** low).toBeCloseTo(0.002, 12);
  expect(10 ** high).toBeCloseTo(5, 12);
  expect(labelled.map((step) => 10 ** step)).toEqual(
    [0.01, 0.1, 1].map((value) => expect.closeTo(value, 12)),
  );
});

test('a short axis is numbered at 1, 2 and 5 and spans a decade at least', () => {
  const { low, high, labelled } = logAxis([1, 1]);
  expect(high - low).toBeGreaterThanOrEqual(1);
  expect(labelled.length).toBeGreaterThanOrEqual(3);
});

test('a margin leaves the same share free at both ends', () => {
  const { low, high } = logAxis([1, 1000], { margin: 0.1 });
  expect([low, high]).toEqual([expect.closeTo(-0.3, 12), expect.closeTo(3.3, 12)]);
});

test('zero, negative and missing values are left out, and no value at all gives 1 to 10', () => {
  expect(logAxis([0, -1, Number.NaN, 3, 30])).toEqual(logAxis([3, 30]));
  expect(logAxis([])).toMatchObject({ low: 0, high: 1 });
});

test('every positive value lies on its axis, and every number of the axis does', () => {
  const value = fc.double({ min: 1e-9, max: 1e9, noNaN: true });
  fc.assert(
    fc.property(fc.array(value, { minLength: 1, maxLength: 20 }), (values) => {
      const { low, high, labelled } = logAxis(values);
      for (const one of values) {
        expect(Math.log10(one)).toBeGreaterThanOrEqual(low - 1e-9);
        expect(Math.log10(one)).toBeLessThanOrEqual(high + 1e-9);
      }
      expect(labelled.length).toBeGreaterThanOrEqual(2);
      for (const step of labelled) expect(step >= low && step <= high).toBe(true);
    }),
    { seed: 11 },
  );
});

test('a linear axis starts at zero and ends at a round number above the values', () => {
  expect(linearAxis([61, 96.3])).toEqual({ high: 125, grid: [0, 25, 50, 75, 100, 125] });
  expect(linearAxis([]).high).toBeGreaterThan(0);
});
