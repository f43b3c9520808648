import { describe, expect, it } from 'vitest';
import { exceededBelow, widestStep_dB } from '../../src/measure/crossing.js';

const curve = (...pairs: [number, number][]) =>
  pairs.map(([power_W, thdn_percent]) => ({ power_W, thdn_percent }));

describe('exceededBelow', () => {
  it('is empty where the limit is kept from the lowest level to its last crossing', () => {
    expect(exceededBelow(curve([1, 0.01], [10, 0.02], [100, 5]), 0.1)).toEqual([]);
  });

  it('is empty where the limit is never kept', () => {
    expect(exceededBelow(curve([1, 0.2], [10, 0.3]), 0.1)).toEqual([]);
    expect(exceededBelow([], 0.1)).toEqual([]);
  });

  it('tells a hump by its edges, straight in log against log', () => {
    const [hump, ...more] = exceededBelow(
      curve([100, 1], [10, 0.01], [20, 1], [30, 1], [40, 0.01], [90, 0.01]),
      0.1,
    );
    expect(more).toEqual([]);
    expect(hump![0]).toBeCloseTo(Math.sqrt(10 * 20), 9);
    expect(hump![1]).toBeCloseTo(Math.sqrt(30 * 40), 9);
  });

  it('begins crossover distortion at the lowest reading', () => {
    expect(exceededBelow(curve([0.05, 6], [0.5, 1], [5, 0.01]), 0.1)).toEqual([
      [0.05, expect.closeTo(Math.sqrt(0.5 * 5), 9)],
    ]);
  });

  it('tells the step that a narrower hump may hide in', () => {
    expect(widestStep_dB(curve([1, 0], [2, 0], [20, 0], [200, 0]), 20)).toBeCloseTo(10, 9);
    expect(widestStep_dB([], 20)).toBe(0);
  });
});
