import { describe, expect, it } from 'vitest';
import { openSimulated } from '../../../src/bench/simulated/open-simulated.js';
import { FakeBench, type Through } from '../../runner/fake-bench.js';
import { benchOf, benchText, type PlayOptions, play } from '../../runner/run.js';

/** Digital full scale is 100 V peak at the load. */
const FULL_SCALE_V = 100;

/** A unit that gives DC and a line of hum by itself, in volts, in one channel only. */
const idle =
  (own: number, dc_V: number, hum_V = 0): Through =>
  (samples, channel, start) =>
    samples.map((sample, n) => {
      if (channel !== own) return 10 * sample;
      const line = hum_V * Math.SQRT2 * Math.sin((2 * Math.PI * 100 * (start + n)) / 48_000);
      return 10 * sample + (dc_V + line) / FULL_SCALE_V;
    });

const sequence = (quiet: string) => `name: t\nload: 8 ohm\nsteps:\n  - quiet: ${quiet}\n`;

async function listen(quiet: string, through: Through, options: PlayOptions = {}, channels = 2) {
  const bench = new FakeBench(channels, through);
  const played = await play(sequence(quiet), benchOf(benchText(channels)), bench, options);
  const notes = played.of('note').filter(({ topic }) => topic === 'quiet');
  return { ...played, bench, notes: notes.map(({ text }) => text) };
}

describe('a quiet step', () => {
  it('plays nothing and tells DC and hum of each channel', async () => {
    const { ending, bench, notes } = await listen('{id: q, for: 5 s}', idle(2, -0.05, 2e-3));
    expect(ending.outcome).toBe('completed');
    expect(bench.loudest).toBe(0);
    expect(notes).toEqual([
      'q: channel 1: DC 0.00 V, noise and hum 0.00 V rms, of it 0.00 V at multiples of 50 Hz',
      expect.stringMatching(
        /^q: channel 2: DC -50\.0 mV, noise and hum 2\.00 mV rms, of it (1\.9\d|2\.00) mV at multiples of 50 Hz$/,
      ),
    ]);
  });

  it('lasts about as long as it says', async () => {
    const { bench } = await listen('{for: 20 s}', idle(1, 0));
    expect(bench.now_s()).toBeGreaterThan(19);
    expect(bench.now_s()).toBeLessThan(21.5);
  });

  it('stops the run at more DC or noise than it allows, and says which channel', async () => {
    const dc = await listen('{id: q, for: 5 s, most_dc: 40 mV}', idle(2, -0.05));
    expect(dc.ending).toEqual({
      outcome: 'stopped',
      reason: 'q, channel 2: -50.0 mV of DC with nothing playing, more than 40.0 mV',
    });
    const noise = await listen('{id: q, for: 5 s, most_noise: 1 mV}', idle(1, 0, 2e-3));
    expect(noise.ending).toEqual({
      outcome: 'stopped',
      reason: 'q, channel 1: 2.00 mV of noise and hum with nothing playing, more than 1.00 mV',
    });
    expect(noise.bench.calls.at(-1)).toBe('close');
    const within = await listen('{for: 5 s, most_dc: 60 mV, most_noise: 3 mV}', idle(2, -0.05, 2e-3));
    expect(within.ending.outcome).toBe('completed');
  });

  it('trips at more DC than the bench allows, whatever it says itself, at the first record', async () => {
    const { ending, bench } = await listen('{id: q, for: 1 h}', idle(1, 2.5));
    expect(ending).toEqual({
      outcome: 'tripped',
      reason: "q, channel 1: 2.50 V of DC with nothing playing, more than the bench's limit of 2.00 V",
    });
    expect(bench.now_s()).toBeLessThan(3);
  });

  it('reads only what has a tap', async () => {
    const shared = benchText(2, 'shared_inputs: yes\n').replaceAll('input: {', 'input: {channel: 1, ');
    const bench = new FakeBench(2, idle(2, 0.05));
    const played = await play(sequence('{id: q, for: 1 s}'), benchOf(shared), bench);
    const notes = played.of('note').filter(({ topic }) => topic === 'quiet');
    expect(notes.map(({ text }) => text.split(', ')[0])).toEqual([
      'q/taps-1: channel 1: DC 0.00 V',
      'q/taps-2: channel 2: DC 50.0 mV',
    ]);
  });

  it('hears the hum of the twin fresh from repair', async () => {
    const setup = benchOf(benchText(2).replace('twin: ideal-40', 'twin: repaired-crossover'));
    const played = await play(sequence('{id: q, for: 3 s}'), setup, openSimulated(setup));
    expect(played.ending.outcome).toBe('completed');
    const notes = played.of('note').filter(({ topic }) => topic === 'quiet');
    // Its supply runs on mains of 50 Hz.
    for (const { text } of notes)
      expect(text).toMatch(
        /DC -?[\d.]+ [um]V, noise and hum [\d.]+ uV rms, of it [\d.]+ uV at multiples of 50 Hz$/,
      );
    expect(notes).toHaveLength(2);
  });

  it('can be interrupted', async () => {
    const { signal, abort } = ((controller) => ({
      signal: controller.signal,
      abort: () => controller.abort(),
    }))(new AbortController());
    let blocks = 0;
    const through: Through = (samples) => {
      blocks += 1;
      if (blocks === 100) abort();
      return samples;
    };
    const { ending } = await listen('{for: 1 h}', through, { signal });
    expect(ending.outcome).toBe('interrupted');
    expect(blocks).toBeLessThan(110);
  });
});
