import { describe, expect, it } from 'vitest';
import { median, quantile, quartileDistance } from '../../src/measure/median.js';
import { seededRandom } from '../../src/signal/dither.js';

/** From its definition: all values in order, and a straight line between neighbours. */
function bySorting(values: Float64Array, share: number): number {
  const sorted = Array.from(values).sort((a, b) => a - b);
  const place = share * (sorted.length - 1);
  const [below, above] = [sorted[Math.floor(place)]!, sorted[Math.ceil(place)]!];
  return below + (place - Math.floor(place)) * (above - below);
}

describe('a quantile', () => {
  it('is what sorting gives, whatever the order and however many values are alike', () => {
    const random = seededRandom(5);
    for (let length = 1; length <= 60; length++)
      for (const kinds of [1, 3, 1000]) {
        const values = Float64Array.from({ length }, () => Math.floor(kinds * random()) - kinds / 2);
        for (const order of [values, values.slice().sort(), values.slice().sort().reverse()])
          for (const share of [0, 0.1, 0.5, 0.75, 1])
            expect(quantile(order, share)).toBe(bySorting(values, share));
      }
  });

  it('leaves the values where they are', () => {
    const values = Float64Array.of(3, 1, 2);
    expect(median(values)).toBe(2);
    expect(Array.from(values)).toEqual([3, 1, 2]);
  });

  it('of no values is 0', () => {
    expect(quantile(new Float64Array(0), 0.5)).toBe(0);
  });

  it('of the distances from the middle ignores an outlier', () => {
    expect(quartileDistance(Float64Array.of(-2, -1, 0, 1, 1e9), 0)).toBe(2);
  });
});
