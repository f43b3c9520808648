import { describe, expect, it } from 'vitest';
import type { LoadMemory, LoadWarmth } from '../../../src/safety/load-memory.js';
import { clippingUnit, FakeBench } from '../fake-bench.js';
import { benchOf, benchText, type Played, play } from '../run.js';

const unit = clippingUnit(1, 0.9);
/** A load for 20 W that takes 100 W for a while: with 300 s, from cold, for 66.9 s. */
const setup = benchOf(
  benchText(1).replace('rating: 400 W', 'rating: 20 W, short_rating: 100 W, thermal: 300 s'),
);
const HOLD = `
name: Hold
load: 8 ohm
driven: all
steps:
  - hold: {id: stay, frequency: 1 kHz, level: 100 W, for: 60 s, every: 10 s}
`;

/** Memory that outlasts a run, as a state folder does. */
class Kept implements LoadMemory {
  readonly words: readonly string[] = [];
  readonly kept: LoadWarmth[][] = [];
  constructor(readonly before: readonly LoadWarmth[] = []) {}
  keep(now: readonly LoadWarmth[]): string | null {
    this.kept.push([...now]);
    return null;
  }
  get last(): LoadWarmth {
    return this.kept.at(-1)![0]!;
  }
}

const rested_s = (played: Played) =>
  played
    .of('note')
    .filter(({ topic }) => topic === 'rest')
    .map(({ text }) => Number.parseInt(text, 10))
    .reduce((sum, seconds) => sum + seconds, 0);

describe('what a run has put into the loads', () => {
  it('makes the next one rest as if both were one', async () => {
    const first = new Kept();
    const one = await play(HOLD, setup, new FakeBench(1, unit), { memory: first });
    expect([one.ending.outcome, rested_s(one)]).toEqual(['completed', 0]);
    expect(first.last.mean_W).toBeGreaterThan(17);
    expect(first.last.mean_W).toBeLessThan(20);
    expect(first.last.energy_J).toBeGreaterThan(6000);

    const second = new Kept([first.last]);
    const falls = (gone_s: number) => first.last.mean_W * Math.exp(-gone_s / 300);
    const two = await play(HOLD, setup, new FakeBench(1, unit), { memory: second });
    expect(two.ending.outcome).toBe('completed');
    // What is left must fall until 60 s of 100 W fit in again: 300 s ln(mean / start), with start from 20 = 100 - (100 - start) e^(-1/5).
    const start_W = 100 - 80 * Math.exp(60 / 300);
    expect(rested_s(two)).toBeGreaterThan(300 * Math.log(first.last.mean_W / start_W) - 5);
    // What it has put in by itself; with the rest of the first, no more than the load may have.
    expect(second.last.mean_W).toBeGreaterThan(17);
    expect(second.last.mean_W + falls(rested_s(two) + 60)).toBeLessThanOrEqual(1.05 * 20);
    expect(second.last.energy_J).toBeGreaterThan(6000);
    expect(second.last.energy_J).toBeLessThan(1.5 * 6000);
  });

  it('is kept ahead of what can still be played before it is kept again', async () => {
    const memory = new Kept();
    const bench = new FakeBench(1, unit);
    const begun_s = bench.now_s();
    const at: { readonly seconds: number; readonly mean_W: number }[] = [];
    const keep = memory.keep.bind(memory);
    memory.keep = (now) => {
      at.push({ seconds: bench.now_s() - begun_s, mean_W: now[0]!.mean_W });
      return keep(now);
    };
    await play(HOLD, setup, bench, { memory });
    const gaps = at.slice(1).map(({ seconds }, i) => seconds - at[i]!.seconds);
    expect(Math.max(...gaps)).toBeLessThan(6);
    // Killed at any moment: what is kept is at least what the load has by then.
    for (const [i, { mean_W }] of at.slice(0, -2).entries())
      expect(mean_W).toBeGreaterThanOrEqual(0.98 * trueMean(at[i + 1]!.seconds));
  });

  it('that cannot be kept is said once', async () => {
    const memory = new Kept();
    memory.keep = () => 'no room';
    const played = await play(HOLD, setup, new FakeBench(1, unit), { memory });
    expect(played.of('note').filter(({ text }) => text === 'no room')).toHaveLength(1);
  });

  it('counts against a limit of energy that the bench file sets', async () => {
    const limited = { ...setup, energyLimit_J: 9000 };
    const before = [{ channel: 1, load_ohm: 8, mean_W: 1, energy_J: 6000 }];
    const alone = await play(HOLD, limited, new FakeBench(1, unit), { memory: new Kept() });
    const after = await play(HOLD, limited, new FakeBench(1, unit), { memory: new Kept(before) });
    expect([alone.ending.outcome, after.ending.outcome]).toEqual(['completed', 'tripped']);
  });
});

/** First-order mean of a load that takes 100 W from the beginning on: more than it can have in truth, which begins with a gain check. */
const trueMean = (seconds: number) => Math.min(17.5, 100 * (1 - Math.exp(-Math.max(0, seconds - 3) / 300)));
