import { describe, expect, it } from 'vitest';
import { type HeatShare, unknownShare, untilCold_s, warmthBy } from '../../src/safety/heat-shares.js';

const load = { rating_W: 20, thermal_s: 300 };
const share = (
  mean_W: number,
  from_s: number,
  until_s: number,
  more: Partial<HeatShare> = {},
): HeatShare => ({
  ...{ bench: 'n', from_ms: 1000 * from_s, until_ms: 1000 * until_s, mean_W, energy_J: 1000, thermal_s: 300 },
  ...more,
});
const at = (seconds: number, ...shares: HeatShare[]) => warmthBy(load, shares, 1000 * seconds);

describe('the warmth of a load by what runs have put into it', () => {
  it('falls with its time constant, and with it the energy, until the load is cold', () => {
    const one = share(18, 0, 60);
    // 18 W e^(-1) = 6.62183 W.
    expect(at(360, one).mean_W).toBeCloseTo(6.62183, 5);
    expect(at(360, one).energy_J).toBe(1000);
    // 300 s ln(18 / 0.2) = 1349.94 s.
    expect(untilCold_s(load, 18)).toBeCloseTo(1349.94, 2);
    expect(at(60 + 1349, one).mean_W).toBeGreaterThan(0);
    expect(at(60 + 1351, one)).toEqual({ mean_W: 0, energy_J: 0 });
  });

  it('is the sum of what is left of each, up to the rating', () => {
    // 8 e^(-2) + 6 e^(-1) = 3.28996 W.
    const two = at(600, share(8, -60, 0), share(6, 240, 300));
    expect(two.mean_W).toBeCloseTo(3.28996, 5);
    expect(two.energy_J).toBe(2000);
    expect(at(0, share(15, -60, 0), share(15, -60, 0)).mean_W).toBe(20);
  });

  it('holds the energy since the load was last cold, whatever the order of the records', () => {
    const [before, after] = [share(18, 0, 60, { energy_J: 7000 }), share(1, 5000, 5060)];
    expect(at(5060, after, before).energy_J).toBe(1000);
    const soon = share(1, 1000, 1060);
    expect(at(1060, soon, before).energy_J).toBe(8000);
  });

  it('falls by the longer of two time constants where the bench file has another now', () => {
    const quick = share(18, 0, 60, { thermal_s: 1 });
    expect(at(360, quick).mean_W).toBeCloseTo(6.62183, 5);
  });

  it('does not fall by a clock that was set back', () =>
    expect(at(-86_400, share(18, 0, 60)).mean_W).toBe(18));

  it('is not more than a run can have given in its time where nothing else is known of it', () => {
    const time = { bench: '', from_ms: 0, until_ms: 60_000 };
    expect(unknownShare(load, time)).toMatchObject({ mean_W: 20, energy_J: 20 * 60 });
    expect(unknownShare(load, { ...time, until_ms: 1e9 }).energy_J).toBe(20 * 5 * 300);
  });
});
