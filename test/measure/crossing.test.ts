import { describe, expect, it } from 'vitest';
import { lastCrossing } from '../../src/measure/crossing.js';
import { relativeError } from './signals.js';

const curve = (...points: [number, number][]) =>
  points.map(([power_W, thdn_percent]) => ({ power_W, thdn_percent }));

describe('lastCrossing', () => {
  it('is exact on a power law, which is straight in log against log', () => {
    const found = lastCrossing(curve([90, 0.01 * 0.9 ** 12], [100, 0.01], [130, 0.01 * 1.3 ** 12]), 0.1)!;
    expect(relativeError(found.power_W, 100 * 10 ** (1 / 12))).toBeLessThan(1e-12);
    expect(found.bracket_dB).toBeCloseTo(10 * Math.log10(1.3), 12);
  });

  it('takes the points in any order', () => {
    const found = lastCrossing(curve([110, 1], [1, 0.02], [100, 0.01], [90, 0.01]), 0.1)!;
    expect(found.power_W).toBeCloseTo(100 * 1.1 ** 0.5, 10);
  });

  it('takes the last of several', () => {
    const found = lastCrossing(curve([1, 0.05], [2, 0.2], [3, 0.05], [10, 0.05], [11, 0.2]), 0.1)!;
    expect(found.power_W).toBeCloseTo(Math.sqrt(110), 10);
  });

  it('does not take the fall of noise at low level for one', () => {
    expect(lastCrossing(curve([0.001, 2], [0.01, 0.6], [0.1, 0.2], [1, 0.06]), 0.1)).toBeNull();
    expect(lastCrossing(curve([1, 0.5], [10, 0.2], [100, 3]), 0.1)).toBeNull();
  });

  it('takes a reading on the threshold as having reached it', () => {
    expect(lastCrossing(curve([10, 0.05], [20, 0.1]), 0.1)!.power_W).toBeCloseTo(20, 10);
    expect(lastCrossing(curve([10, 0.1], [20, 0.2]), 0.1)).toBeNull();
  });

  it('finds none in too few points and is not upset by zeros', () => {
    expect(lastCrossing([], 0.1)).toBeNull();
    expect(lastCrossing(curve([10, 5]), 0.1)).toBeNull();
    const found = lastCrossing(curve([0, 100], [10, 0], [20, 5]), 0.1)!;
    expect(found.power_W).toBeGreaterThan(10);
    expect(found.power_W).toBeLessThan(20);
  });
});
