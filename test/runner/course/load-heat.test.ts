import { describe, expect, it } from 'vitest';
import { LoadHeat } from '../../../src/runner/course/load-heat.js';

const rating = { nominal_ohm: 8, rating_W: 100, thermal_s: 60 };

describe('LoadHeat', () => {
  it('reaches 1 - 1/e of a power after one time constant', () => {
    const heat = new LoadHeat();
    heat.add(1, rating, 200, 60);
    expect(heat.of(1, rating)).toBeCloseTo(200 * (1 - Math.exp(-1)), 10);
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
    expect(heat.of(1, rating)).toBeCloseTo(100, 9);
  });

  it('says when no rest would be enough', () => {
    expect(new LoadHeat().restBefore(1, rating, 300, 120)).toBe(Number.POSITIVE_INFINITY);
  });

  it('keeps the loads of different channels apart', () => {
    const heat = new LoadHeat();
    heat.add(2, rating, 50, 60);
    expect(heat.of(1, rating)).toBe(0);
  });

  it('keeps one account of a load that channels share by its label, and of two at once the warmer', () => {
    const rack = { ...rating, label: 'rack' };
    const channels = [1, 2].map((channel) => ({ channel, loads: [rack] }));
    const heat = new LoadHeat();
    heat.addAll(channels, { load_ohm: 8, power_W: new Map([[1, 50]]) }, 60);
    heat.addAll(channels, { load_ohm: 8, power_W: new Map([[2, 50]]) }, 60);
    expect(heat.of(1, rack)).toBeCloseTo(50 * (1 - Math.exp(-2)), 10);
    expect(heat.of(2, rack)).toBe(heat.of(1, rack));
    expect([1, 2].map((channel) => heat.energyOf(channel, rack))).toEqual([6000, 6000]);
    expect(heat.energy_J).toBe(6000);
    const both = new LoadHeat();
    both.addAll(
      channels,
      {
        load_ohm: 8,
        power_W: new Map([
          [1, 50],
          [2, 40],
        ]),
      },
      60,
    );
    expect(both.of(1, rack)).toBeCloseTo(50 * (1 - Math.exp(-1)), 10);
  });

  it('adds to a load that channels share only what others know beyond its own account, and that once', () => {
    const rack = { ...rating, label: 'rack' };
    const channels = [1, 2].map((channel) => ({ channel, loads: [rack] }));
    const heat = new LoadHeat();
    for (const channel of [1, 2])
      heat.addAll(channels, { load_ohm: 8, power_W: new Map([[channel, 50]]) }, 60);
    for (const [known_J, expected_J] of [
      [5000, 6000],
      [7000, 7000],
    ] as const) {
      for (const channel of [1, 2]) heat.atLeast(channel, rack, 0, known_J);
      expect(heat.energy_J).toBe(expected_J);
    }
  });

  it('keeps the loads of one channel apart', () => {
    const heat = new LoadHeat();
    heat.add(1, { ...rating, nominal_ohm: 4 }, 50, 60);
    expect(heat.of(1, rating)).toBe(0);
    expect(heat.of(1, { ...rating, nominal_ohm: 4 })).toBeGreaterThan(0);
  });

  it('says how warm a load is on average while it is read: the mean of many small steps', () => {
    const heat = new LoadHeat();
    heat.add(1, rating, 80, 25);
    const average = heat.during(1, rating, 200, 9, 6);
    const stepped = new LoadHeat();
    stepped.add(1, rating, 80, 25);
    stepped.add(1, rating, 200, 3);
    let sum = 0;
    for (let i = 0; i < 6000; i += 1) {
      stepped.add(1, rating, 200, 0.0005);
      sum += stepped.of(1, rating);
      stepped.add(1, rating, 200, 0.0005);
    }
    expect(average).toBeCloseTo(sum / 6000, 5);
    expect(heat.of(1, rating)).toBeCloseTo(80 * (1 - Math.exp(-25 / 60)), 12);
  });
});
