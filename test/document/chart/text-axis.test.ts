import { describe, expect, it } from 'vitest';
import { bandAxis, linearAxis, logAxis, placeOn, ticksOn } from '../../../src/document/chart/text-axis.js';

const name = String;
const ends = ({ low, high }: { low: number; high: number }) => [low, high];

describe('axes of a text chart', () => {
  it('ends a log axis at 1, 2 or 5 of a decade, and keeps an end that is round already', () => {
    expect(ends(logAxis([0.06, 103], name))).toEqual([0.05, 200]);
    expect(ends(logAxis([0.1, 100], name))).toEqual([0.1, 100]);
    expect(ends(logAxis([3e-3, 4], name))).toEqual([2e-3, 5]);
  });

  it('spans a decade at least', () => {
    expect(ends(logAxis([10, 10], name))).toEqual([1, 10]);
    expect(ends(bandAxis([1000], name))).toEqual([1000, 10_000]);
  });

  it('ends a linear axis at round steps and spans a tenth of its value at least', () => {
    expect(ends(linearAxis([0, 60], name))).toEqual([0, 60]);
    const narrow = linearAxis([99.9, 100], name);
    expect(narrow.low).toBeLessThanOrEqual(99.9);
    expect(narrow.high).toBeGreaterThanOrEqual(100);
    expect(narrow.high - narrow.low).toBeCloseTo(5, 9);
  });

  it('holds a single zero', () => {
    const axis = linearAxis([0], name);
    expect(placeOn(axis, 0, 10)).toBe(0);
    expect(axis.high).toBeGreaterThan(0);
  });

  it('places by equal ratios on a log axis and by equal differences on a linear one', () => {
    expect([1, 10, 100, 1000].map((value) => placeOn(logAxis([1, 1000], name), value, 31))).toEqual([
      0, 10, 20, 30,
    ]);
    expect([0, 20, 60].map((value) => placeOn(linearAxis([0, 60], name), value, 61))).toEqual([0, 20, 60]);
    expect(placeOn(logAxis([1, 10], name), 0.1, 11)).toBeLessThan(0);
  });

  it('names decades over a wide span, and 1, 2 and 5 over a narrow one', () => {
    expect(ticksOn(bandAxis([19.78, 20_000], name))).toEqual([100, 1000, 10_000]);
    expect(ticksOn(logAxis([1, 100], name))).toEqual([1, 2, 5, 10, 20, 50, 100]);
    expect(ticksOn(linearAxis([0, 60], name))).toEqual([0, 20, 40, 60]);
  });
});
