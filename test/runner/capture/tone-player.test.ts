import { describe, expect, it } from 'vitest';
import type { SoundBlock } from '../../../src/bench/bench.js';
import { TonePlayer } from '../../../src/runner/capture/tone-player.js';
import { coherentTone } from '../../../src/signal/coherent-tone.js';
import type { Playing } from '../../../src/signal/schedule.js';
import { type Stimulus, steady, stimulus, twoTone } from '../../../src/signal/stimulus.js';
import { largestStep as closedStep } from '../../signal/closed-forms.js';
import { FakeBench } from '../fake-bench.js';

const tone = coherentTone({ nominal_Hz: 1_000, rate_Hz: 48_000 });
const other = coherentTone({ nominal_Hz: 2_000, rate_Hz: 48_000 });

async function blocksUntil(player: TonePlayer, frame: number): Promise<SoundBlock[]> {
  const blocks: SoundBlock[] = [];
  do blocks.push(await player.next());
  while (blocks.at(-1)!.start < frame);
  return blocks;
}

const largestStep = (blocks: readonly SoundBlock[]): number => {
  let [last, largest] = [0, 0];
  for (const { channels } of blocks) {
    for (const sample of channels[0]!) {
      largest = Math.max(largest, Math.abs(sample - last));
      last = sample;
    }
  }
  return largest;
};

/** 10 ms twenty times a second. */
const bursts = stimulus({
  lines: [{ tone, share: 1 }],
  envelope: { kind: 'burst', on_s: 0.01, period_s: 0.05 },
});

/** Largest step of a stimulus that stands or comes up in 20 ms. */
const boundOf = (of: Stimulus): number => closedStep(of) + Math.sin(Math.PI / (2 * 960));

describe('TonePlayer', () => {
  it('shows every block to the watch before handing it on, with what is playing', async () => {
    const seen: [number, Playing][] = [];
    const player = new TonePlayer(new FakeBench(1, (x) => x), (block, playing) =>
      seen.push([block.start, playing]),
    );
    const from = player.set(steady(tone), [0.5]);
    const blocks = await blocksUntil(player, from);
    expect(seen.map(([start]) => start)).toEqual(blocks.map((block) => block.start));
    expect(seen[0]![1]).toEqual({ stimulus: steady(tone), peaks: [0.5], steady: false });
    expect(seen.at(-1)![1].steady).toBe(true);
  });

  it('goes through silence when the frequency changes, without a click', async () => {
    const player = new TonePlayer(new FakeBench(1, (x) => x), () => undefined);
    const first = await blocksUntil(player, player.set(steady(tone), [0.5]));
    const second = await blocksUntil(player, player.set(steady(other), [0.5]));
    // The steepest step of the steady 2 kHz tone, with a little room for the slope of the ramp.
    expect(largestStep([...first, ...second])).toBeLessThan(
      0.5 * 2 * Math.sin((Math.PI * other.frequency_Hz) / 48_000) * 1.02,
    );
    const samples = second.flatMap((block) => [...block.channels[0]!]);
    const quietest = Math.min(
      ...samples.flatMap((_, i) =>
        i % 48 === 0 ? [Math.max(...samples.slice(i, i + 48).map(Math.abs))] : [],
      ),
    );
    expect(quietest).toBeLessThan(0.01);
  });

  it.each<[string, Stimulus]>([
    ['bursts', bursts],
    ['two lines', twoTone(tone, other, [1, 1])],
  ])('goes from a tone to %s and back through silence', async (_, of) => {
    const player = new TonePlayer(new FakeBench(1, (x) => x), () => undefined);
    const blocks = await blocksUntil(player, player.set(steady(tone), [0.5]));
    const from = player.set(of, [0.5]);
    blocks.push(...(await blocksUntil(player, from + 4800)));
    blocks.push(...(await blocksUntil(player, player.set(steady(tone), [0.5]))));
    expect(largestStep(blocks)).toBeLessThan(0.5 * Math.max(boundOf(of), boundOf(steady(tone))));
  });

  it('tells where the first whole burst begins', async () => {
    const player = new TonePlayer(new FakeBench(1, (x) => x), () => undefined);
    const from = player.set(bursts, [0.5]);
    expect(from % 2400).toBe(0);
    const samples = (await blocksUntil(player, from + 4800)).flatMap((block) => [...block.channels[0]!]);
    const first = samples.slice(from, from + 480);
    expect(Math.max(...first)).toBeCloseTo(0.5, 3);
    expect(Math.max(...samples.slice(from + 480, from + 2400).map(Math.abs))).toBe(0);
  });

  it('ends a stimulus of a stated duration by itself', async () => {
    const short = stimulus({ lines: [{ tone, share: 1 }], duration_s: 0.3 });
    const player = new TonePlayer(new FakeBench(1, (x) => x), () => undefined);
    player.set(short, [0.5]);
    const samples = (await blocksUntil(player, 24_000)).flatMap((block) => [...block.channels[0]!]);
    const last = samples.findLastIndex((sample) => sample !== 0);
    expect(last / 48_000).toBeGreaterThan(0.299);
    expect(last / 48_000).toBeLessThanOrEqual(0.3);
    expect(largestStep([{ start: 0, channels: [Float64Array.from(samples)] }])).toBeLessThan(
      0.5 * boundOf(short),
    );
  });

  it('has a level begin at a frame that lies ahead, and does not send it twice', async () => {
    const player = new TonePlayer(new FakeBench(1, (x) => x, false, 48_000, 12), () => undefined);
    const blocks = await blocksUntil(player, player.set(steady(tone), [0.25]));
    const at = blocks.at(-1)!.start + 20_000;
    expect(player.canFollow(at)).toBe(true);
    player.follow(at, steady(tone), [0.5]);
    const from = player.set(steady(tone), [0.5]);
    expect(from).toBe(at + (0.02 + 0.03) * 48_000);
    blocks.push(...(await blocksUntil(player, from + 4_800)));
    const loudest = (start: number, end: number) => {
      const within = blocks.flatMap((block) =>
        [...block.channels[0]!].filter((_, i) => block.start + i >= start && block.start + i < end),
      );
      return Math.max(...within.map(Math.abs));
    };
    expect(loudest(at - 2_400, at)).toBeCloseTo(0.25, 4);
    expect(loudest(from, from + 2_400)).toBeCloseTo(0.5, 4);
    expect(largestStep(blocks)).toBeLessThan(0.5 * 2 * Math.sin((Math.PI * tone.frequency_Hz) / 48_000));
  });

  it('takes a level back that was to follow when another is set', async () => {
    const bench = new FakeBench(1, (x) => x, false, 48_000, 12);
    const player = new TonePlayer(bench, () => undefined);
    const blocks = await blocksUntil(player, player.set(steady(tone), [0.25]));
    player.follow(blocks.at(-1)!.start + 20_000, steady(tone), [0.5]);
    const from = player.set(steady(tone), [0.3]);
    await blocksUntil(player, from + 30_000);
    expect(bench.loudest).toBeCloseTo(0.3, 4);
  });

  it('lets nothing follow where it is too late, or where no time would be gained', async () => {
    const buffered = new TonePlayer(new FakeBench(1, (x) => x, false, 48_000, 12), () => undefined);
    const [block] = (await blocksUntil(buffered, buffered.set(steady(tone), [0.25]))).slice(-1);
    expect(buffered.canFollow(block!.start + 2_000)).toBe(false);
    const prompt = new TonePlayer(new FakeBench(1, (x) => x), () => undefined);
    const [last] = (await blocksUntil(prompt, prompt.set(steady(tone), [0.25]))).slice(-1);
    expect(prompt.canFollow(last!.start + 20_000)).toBe(false);
  });

  it('ends the stream and starts afresh from silence after a stop', async () => {
    const bench = new FakeBench(1, (x) => x);
    const player = new TonePlayer(bench, () => undefined);
    await blocksUntil(player, player.set(steady(tone), [0.5]));
    await player.stop();
    expect(bench.calls).toEqual(['play', 'silence']);
    player.set(steady(tone), [0.5]);
    const block = await player.next();
    expect(block.start).toBe(0);
    expect(block.channels[0]![0]).toBe(0);
  });

  it('still has what would have come next for a bench that fades it out', async () => {
    let tail: Float64Array | null = null;
    const bench = new FakeBench(1, (x) => x);
    bench.play = async function* (source) {
      let at = 0;
      try {
        for (; ; at += 1024) yield { start: at, channels: source.render(at, 1024) };
      } finally {
        tail = source.render(at + 1024, 960)[0]!;
      }
    };
    const player = new TonePlayer(bench, () => undefined);
    await blocksUntil(player, player.set(steady(tone), [0.5]));
    await player.stop();
    expect(Math.max(...tail!)).toBeCloseTo(0.5, 3);
  });

  it('lets what the watch throws end the play', async () => {
    const player = new TonePlayer(new FakeBench(1, (x) => x), () => {
      throw new Error('too loud');
    });
    player.set(steady(tone), [0.5]);
    await expect(player.next()).rejects.toThrow('too loud');
  });
});
