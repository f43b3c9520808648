import { describe, expect, it } from 'vitest';
import { courseLimits } from '../../src/safety/course-limits.js';
import type { Plan } from '../../src/sequence/plan.js';
import { bench, chain, load } from '../sequence/bench-fixture.js';

const work = (changes = {}) => ({
  channel: 1,
  load_ohm: 8,
  most_W: 100,
  heat_J: 6000,
  mean_W: 80,
  rise_K: null,
  ...changes,
});

function planWith(estimate: Partial<Plan['estimate']>): Plan {
  const worst = {
    voltage_Vrms: 28,
    voltage_Vpk: 40,
    current_Apk: 5,
    power_W: 100,
    total_W: 200,
    heat_J: 6000,
  };
  const plain = { points: 1, seconds: 120, worst, loads: [work()], energy_J: 12_000, visits: 1 };
  return { estimate: { ...plain, ...estimate } } as Plan;
}

const rated = (rating_W: number) =>
  bench(2, { channels: [1, 2].map((n) => chain(n, { loads: [load(8, { rating_W })] })) });

describe('courseLimits', () => {
  it('allows half as much energy again as estimated, and a minute at the highest power', () => {
    const { energy_J, loads } = courseLimits(planWith({}), rated(250));
    expect(energy_J).toBe(1.5 * 12_000 + 60 * 200);
    expect(loads).toEqual([{ channel: 1, load_ohm: 8, energy_J: 1.5 * 6000 + 60 * 100 }]);
  });

  it('allows twice the time estimated and ten minutes', () => {
    expect(courseLimits(planWith({}), rated(250)).time_s).toBe(2 * 120 + 600);
  });

  it('counts with the rests of a load driven beyond its rating: its heat at its rating', () => {
    // 6 kJ into a load of 20 W take 300 s at least.
    expect(courseLimits(planWith({}), rated(20)).time_s).toBe(2 * 300 + 600);
  });

  it('goes by the rating of that very load of that very channel, and by none where the bench has no such load', () => {
    const loads = [load(8), load(4, { rating_W: 20 })];
    const mixed = bench(2, {
      channels: [chain(1, { loads: [load(8, { rating_W: 10 })] }), chain(2, { loads })],
    });
    const time_s = (changes: object) => courseLimits(planWith({ loads: [work(changes)] }), mixed).time_s;
    expect(time_s({ channel: 2, load_ohm: 4 })).toBe(2 * 300 + 600);
    expect(time_s({ channel: 2, load_ohm: 2 })).toBe(2 * 120 + 600);
    expect(time_s({ channel: 3 })).toBe(2 * 120 + 600);
  });

  it('takes the limits of the bench file in their place, higher or lower', () => {
    const limits = courseLimits(planWith({}), { ...rated(250), energyLimit_J: 5e6, timeLimit_s: 30 });
    expect(limits).toMatchObject({ energy_J: 5e6, time_s: 30 });
  });
});
