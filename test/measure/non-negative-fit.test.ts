import { describe, expect, it } from 'vitest';
import { nonNegativeFit } from '../../src/measure/non-negative-fit.js';

describe('nonNegativeFit', () => {
  it('is the ordinary fit where that has no negative part', () => {
    const xs = [1, 2, 3, 4, 5];
    const fit = nonNegativeFit(
      xs.map((x) => [1, x]),
      xs.map((x) => 2 + 0.5 * x),
    )!;
    expect(fit.coefficients[0]).toBeCloseTo(2, 9);
    expect(fit.coefficients[1]).toBeCloseTo(0.5, 9);
    expect(fit.scatter).toBeLessThan(1e-18);
  });

  it('sets to nought what would be negative, and fits the rest to it', () => {
    // scipy.optimize.nnls([[1, 1], [1, 2], [1, 3]], [3, 2, 1]) gives x = [2, 0], residual root of 2.
    const fit = nonNegativeFit(
      [
        [1, 1],
        [1, 2],
        [1, 3],
      ],
      [3, 2, 1],
    )!;
    expect(fit.coefficients).toEqual([expect.closeTo(2, 12), 0]);
    expect(fit.scatter).toBeCloseTo(2, 12);
    // x' (A'A)^-1 x of a mean of three.
    expect(fit.leverage([1, 7])).toBeCloseTo(1 / 3, 12);
  });

  it('has no answer where every coefficient would be negative', () => {
    expect(nonNegativeFit([[1], [2]], [-1, -2])).toBeNull();
  });
});
