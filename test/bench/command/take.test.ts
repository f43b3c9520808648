import { describe, expect, it } from 'vitest';
import { planTake, renderTake, stimulusFrames } from '../../../src/bench/command/take.js';
import { TestTone } from '../test-tone.js';

const RATE_HZ = 48_000;

/** A source that is 1 in channel 1 and 0 in channel 2 from frame 0 on. */
const level = (horizonFrames = 8192) => ({
  horizonFrames,
  asked: [] as [number, number][],
  render(start: number, frames: number) {
    this.asked.push([start, frames]);
    return [new Float64Array(frames).fill(1), new Float64Array(frames)];
  },
});

describe('planTake', () => {
  it('is as long as the horizon, and longer by the 30 ms in which no change can begin', () => {
    expect(planTake(level(50_000), 0, RATE_HZ).frames).toBe(50_000 + 1440);
  });

  it.each([
    { horizon: 1, frames: 2 ** 12 },
    { horizon: 2 ** 30, frames: 2 ** 21 },
    { horizon: 4096.5, frames: 4097 },
    { horizon: 0, frames: 2 ** 17 },
    { horizon: Number.NaN, frames: 2 ** 17 },
    { horizon: Number.POSITIVE_INFINITY, frames: 2 ** 17 },
  ])('makes $frames frames of a horizon of $horizon', ({ horizon, frames }) => {
    expect(planTake(level(horizon), 0, RATE_HZ).frames).toBe(frames + 1440);
  });

  it('keeps its times at every rate', () => {
    expect(planTake(level(), 0, 192_000)).toMatchObject({ preroll: 19_200, postroll: 5760, fade: 3840 });
  });
});

describe('renderTake', () => {
  it('puts silence before the beginning of the source and leaves that beginning alone', () => {
    const source = level();
    const take = planTake(source, 0, RATE_HZ);
    const [samples] = renderTake(source, take);
    expect(samples).toHaveLength(stimulusFrames(take));
    expect(samples!.slice(0, 4800).every((sample) => sample === 0)).toBe(true);
    expect(samples!.slice(4800, 4800 + take.frames).every((sample) => sample === 1)).toBe(true);
    expect(source.asked).toEqual([[0, take.frames + take.postroll]]);
  });

  it('begins with what there is when the source is younger than the preroll', () => {
    const source = level();
    const take = planTake(source, 3000, RATE_HZ);
    const [samples] = renderTake(source, take);
    expect(samples!.findIndex((sample) => sample !== 0)).toBe(1800);
    expect(source.asked).toEqual([[0, 3000 + take.frames + take.postroll]]);
  });

  it('fades a later take in and out along a raised cosine and leaves the stretch alone', () => {
    const source = level();
    const take = planTake(source, 100_000, RATE_HZ);
    const [samples, idle] = renderTake(source, take);
    expect(source.asked).toEqual([[95_200, stimulusFrames(take)]]);
    expect(samples!.slice(960, -960).every((sample) => sample === 1)).toBe(true);
    // Half way, and a tenth of the way: (1 - cos 18 deg) / 2.
    for (const at of [480, -481]) expect(samples!.at(at)).toBeCloseTo(0.5, 12);
    for (const at of [96, -97]) expect(samples!.at(at)).toBeCloseTo((1 - Math.cos(Math.PI / 10)) / 2, 12);
    for (const at of [0, -1]) expect(samples!.at(at)).toBe(0);
    expect(idle!.every((sample) => sample === 0)).toBe(true);
  });

  it('keeps the phase of a tone from take to take', () => {
    const shape = { channels: 1, driven: [1], period: 50, level: () => 1, horizonFrames: 4096 };
    const source = new TestTone(shape);
    const take = planTake(source, 70_001, RATE_HZ);
    const [samples] = renderTake(source, take);
    const first = samples![take.preroll]!;
    expect(first).toBeCloseTo(Math.sin((2 * Math.PI * 70_001) / 50), 9);
  });
});
