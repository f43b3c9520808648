import { describe, expect, it } from 'vitest';
import { LoadHeat } from '../../src/runner/load-heat.js';

const rating = { rating_W: 100, thermal_s: 60 };

describe('LoadHeat', () => {
  it('reaches 1 - 1/e of a power after one time constant', () => {
    const heat = new LoadHeat();
    heat.add(1, rating, 200, 60);
    expect(heat.of(1)).toBeCloseTo(200 * (1 - Math.exp(-1)), 10);
  });

  it('needs no rest while a load stays within its continuous rating', () => {
    const heat = new LoadHeat();
    heat.add(1, rating, 100, 1e6);
    expect(heat.restBefore(1, rating, 99, 10)).toBe(0);
  });

  it('asks for just as much rest as brings the mean to its rating at the end of the point', () => {
    const heat = new LoadHeat();
    heat.add(1, rating, 300, 20);
    const rest_s = heat.restBefore(1, rating, 300, 5);
    expect(rest_s).toBeGreaterThan(0);
    heat.add(1, rating, 0, rest_s);
    heat.add(1, rating, 300, 5);
    expect(heat.of(1)).toBeCloseTo(100, 9);
  });

  it('says when no rest would be enough', () => {
    expect(new LoadHeat().restBefore(1, rating, 300, 120)).toBe(Number.POSITIVE_INFINITY);
  });

  it('keeps the loads of different channels apart', () => {
    const heat = new LoadHeat();
    heat.add(2, rating, 50, 60);
    expect(heat.of(1)).toBe(0);
  });
});
