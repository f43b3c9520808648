import { describe, expect, it } from 'vitest';
import { peakOf, sumOf } from '../../src/measure/level.js';

describe('a sum', () => {
  it.each([0, 1, 2, 3, 4, 5, 6, 7, 8, 9])('counts every one of %d samples', (length) => {
    expect(sumOf(Float64Array.from({ length }, (_, n) => 2 ** n))).toBe(2 ** length - 1);
  });
});

describe('a peak', () => {
  it('is the largest sample of either sign', () => {
    expect(peakOf(Float64Array.of(0.25, -0.75, 0.5))).toBe(0.75);
    expect(peakOf(Float64Array.of(-0.25, 0.5))).toBe(0.5);
    expect(peakOf(new Float64Array(0))).toBe(0);
  });
});
