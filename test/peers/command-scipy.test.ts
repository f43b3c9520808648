import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { CommandBench } from '../../src/bench/command/command-bench.js';
import { type CoherentTone, coherentTone } from '../../src/signal/coherent-tone.js';
import { commandSetup } from '../bench/command/command-setup.js';
import { toneSource } from '../signal/tone-source.js';

const RATE_HZ = 48_000;

/** One record of a tone played through the script, taken from the second take, on every channel. */
async function record(tone: CoherentTone, peaks: number[], gain: number, limit: number) {
  const script = join(import.meta.dirname, 'clipper.py');
  const argv = ['/usr/bin/python3', script, '{stimulus}', '{response}', String(gain), String(limit)];
  const bench = new CommandBench(commandSetup({ argv, channels: peaks.length }));
  const { frames } = tone;
  const out = peaks.map(() => new Float64Array(frames));
  await bench.open();
  for await (const { start, channels } of bench.play(
    toneSource([{ at: 0, tone, peaks, rampFrames: 960 }], peaks.length),
  )) {
    channels.forEach((samples, i) => {
      samples.forEach((sample, n) => {
        const at = start + n - 3 * frames;
        if (at >= 0 && at < frames) out[i]![at] = sample;
      });
    });
    if (start + channels[0]!.length >= 4 * frames) break;
  }
  await bench.close();
  return out;
}

/** Amplitude, never negative, of one harmonic by the Fourier sum over the whole record. */
function harmonic(samples: Float64Array, tone: CoherentTone, order: number): number {
  let re = 0;
  let im = 0;
  for (let n = 0; n < samples.length; n += 1) {
    const angle = (2 * Math.PI * ((n * order * tone.cycles) % tone.frames)) / tone.frames;
    re += samples[n]! * Math.cos(angle);
    im += samples[n]! * Math.sin(angle);
  }
  return (2 * Math.hypot(re, im)) / samples.length;
}

/**
 * Fourier series of k sin(theta) clipped hard at plus and minus 1, with t = asin(1/k):
 * b1 = (2/pi)(k t + sqrt(1 - 1/k^2)), bn = (2k/(pi n)) [sin((n-1)t)/(n-1) + sin((n+1)t)/(n+1)] for odd n,
 * even ones zero (closed form, from the defining integral).
 */
function clippedHarmonic(k: number, n: number): number {
  const t = Math.asin(1 / k);
  if (n === 1) return (2 / Math.PI) * (k * t + Math.sqrt(1 - 1 / k ** 2));
  if (n % 2 === 0) return 0;
  const sum = Math.sin((n - 1) * t) / (n - 1) + Math.sin((n + 1) * t) / (n + 1);
  return ((2 * k) / (Math.PI * n)) * sum;
}

describe('a scipy script that clips hard, measured through the command bench', () => {
  it.each([1.02, 1.5, 10])('shows the harmonics of the closed form at an overdrive of %f', async (k) => {
    const tone = coherentTone({ nominal_Hz: 1000, rate_Hz: RATE_HZ });
    const limit = 0.8;
    const [samples] = await record(tone, [0.1], 10 * k * limit, limit);
    for (let n = 1; n <= 20; n += 1) {
      // Single precision in the files and folding onto a harmonic from orders near 32768 stay below this.
      expect(Math.abs(harmonic(samples!, tone, n) / limit - Math.abs(clippedHarmonic(k, n)))).toBeLessThan(
        2e-6,
      );
    }
  });

  it('keeps seven channels of different levels apart', async () => {
    const tone = coherentTone({ nominal_Hz: 1000, rate_Hz: RATE_HZ });
    const peaks = [0, 0.01, 0.02, 0, 0.05, 0.1, 0.2];
    const channels = await record(tone, peaks, 2, 1);
    channels.forEach((samples, i) => {
      expect(Math.abs(harmonic(samples, tone, 1) - 2 * peaks[i]!)).toBeLessThan(1e-7);
    });
  });
});
