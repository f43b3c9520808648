import { describe, expect, it } from 'vitest';
import { settlingOf } from '../../../src/measure/settled.js';
import { captureSettled } from '../../../src/runner/capture/settled-capture.js';
import { TonePlayer } from '../../../src/runner/capture/tone-player.js';
import { coherentTone } from '../../../src/signal/coherent-tone.js';
import { steady } from '../../../src/signal/stimulus.js';
import { FakeBench, type Through } from '../fake-bench.js';

const tone = coherentTone({ nominal_Hz: 1_000, rate_Hz: 48_000 });

async function capture(through: Through, channels = [0]) {
  const player = new TonePlayer(new FakeBench(2, through), () => undefined);
  const from = player.set(steady(tone), [0.5, 0.25]);
  let halves = 0;
  const taken = await captureSettled(player, { tone, from, channels }, settlingOf, async () => {
    halves += 1;
  });
  await player.stop();
  return { ...taken, from, halves };
}

describe('captureSettled', () => {
  it('takes exactly one record of a steady output, sample for sample', async () => {
    const { channels, settled, from, halves } = await capture((samples) => samples);
    expect(settled).toBe(true);
    expect(halves).toBe(2);
    const expected = Float64Array.from({ length: tone.frames }, (_, i) => {
      const n = (from + i) % tone.frames;
      return 0.5 * Math.sin((2 * Math.PI * ((n * tone.cycles) % tone.frames)) / tone.frames);
    });
    channels[0]!.forEach((sample, i) => {
      expect(sample).toBeCloseTo(expected[i]!, 12);
    });
  });

  it('waits while the level still moves', async () => {
    const sagging: Through = (samples, _, start) =>
      samples.map((x, i) => x * (1 + 0.05 * Math.exp(-(start + i) / 12_000)));
    const { settled, halves } = await capture(sagging);
    expect(settled).toBe(true);
    expect(halves).toBeGreaterThan(2);
  });

  it('takes what there is, and says so, when the output moves on as it did instead of settling', async () => {
    const drifting: Through = (samples, _, start) => samples.map((x, i) => x * (1 + (start + i) / 400_000));
    const { settled, halves } = await capture(drifting);
    expect(settled).toBe(false);
    expect(halves).toBe(5);
  });

  it('hands over the channels asked for, in that order', async () => {
    const { channels } = await capture((samples) => samples, [1, 0]);
    expect(channels.map((samples) => Math.max(...samples).toFixed(3))).toEqual(['0.250', '0.500']);
  });
});
