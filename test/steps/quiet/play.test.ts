import { describe, expect, it } from 'vitest';
import { openSimulated } from '../../../src/bench/simulated/open-simulated.js';
import { makePlan } from '../../../src/sequence/make-plan.js';
import { readSequence } from '../../../src/sequence/sequence-file.js';
import { session } from '../../runner/broken-run.js';
import { FakeBench, type Through } from '../../runner/fake-bench.js';
import { foundIn } from '../../runner/found.js';
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
  return { ...played, bench };
}

describe('a quiet step', () => {
  it('plays nothing and tells DC and hum of each channel', async () => {
    const played = await listen('{id: q, for: 5 s}', idle(2, -0.05, 2e-3));
    expect(played.ending.outcome).toBe('completed');
    expect(played.bench.loudest).toBe(0);
    const values = (quantity: 'dc' | 'noise' | 'hum') =>
      foundIn(played, quantity).map(
        ({ channel, value, terms }) => [channel, terms.weighting, value!] as const,
      );
    expect(values('dc')).toEqual([
      [1, undefined, 0],
      [2, undefined, expect.closeTo(0.05, 4)],
    ]);
    // A line at 100 Hz is weighted by -19.1 dB.
    expect(values('noise')).toEqual([
      [1, 'none', expect.closeTo(0, 9)],
      [1, 'A', expect.closeTo(0, 9)],
      [2, 'none', expect.closeTo(2e-3, 5)],
      [2, 'A', expect.closeTo(2e-3 * 10 ** (-19.145 / 20), 5)],
    ]);
    const [, hum] = foundIn(played, 'hum');
    expect(hum!.value! / 2e-3).toBeGreaterThan(0.95);
    expect(hum).toMatchObject({ channel: 2, step: 'q', step_kind: 'quiet', terms: { mains_Hz: 50 } });
  });

  it('states an uncertainty where the chain does, by its voltage budget', async () => {
    const setup = benchOf(benchText(1).replace('attenuator:', 'flatness: 0.1 dB\n    attenuator:'));
    const played = await play(sequence('{id: q, for: 5 s}'), setup, new FakeBench(1, idle(1, 0, 2e-3)));
    const [noise] = foundIn(played, 'noise');
    // Converter 0.2 % and attenuator 0.1 % as they are stated, with k = 2; 0.1 dB are limits of 1.16 %: 0.66 % standard.
    expect((100 * noise!.uncertainty!) / noise!.value!).toBeGreaterThan(
      2 * Math.hypot(0.2, 0.1, 0.66) * 0.95,
    );
    expect((100 * noise!.uncertainty!) / noise!.value!).toBeLessThan(2 * Math.hypot(0.2, 0.1, 0.66) * 1.1);
    expect(noise!.terms).toMatchObject({ band_Hz: [20, 20_000], weighting: 'none' });
    expect(foundIn(played, 'dc')[0]!.uncertainty).toBeNull();
  });

  it('lasts about as long as it says', async () => {
    const { bench } = await listen('{for: 20 s}', idle(1, 0));
    expect(bench.now_s()).toBeGreaterThan(19);
    expect(bench.now_s()).toBeLessThan(21.5);
  });

  it('stops the run at more DC or noise than it allows, and says which channel', async () => {
    const dc = await listen('{id: q, for: 5 s, most_dc: 40 mV}', idle(2, -0.05));
    expect(dc.ending).toMatchObject({
      outcome: 'stopped',
      reason: 'q, channel 2: -50.0 mV of DC with nothing playing, more than 40.0 mV',
    });
    const noise = await listen('{id: q, for: 5 s, most_noise: 1 mV}', idle(1, 0, 2e-3));
    expect(noise.ending).toMatchObject({
      outcome: 'stopped',
      reason: 'q, channel 1: 2.00 mV of noise and hum with nothing playing, more than 1.00 mV',
    });
    expect(noise.bench.calls.at(-1)).toBe('close');
    // What was heard until then is told all the same.
    expect(foundIn(noise, 'noise')[0]!.value).toBeCloseTo(2e-3, 5);
    const within = await listen('{for: 5 s, most_dc: 60 mV, most_noise: 3 mV}', idle(2, -0.05, 2e-3));
    expect(within.ending.outcome).toBe('completed');
  });

  it('trips at more DC than the bench allows, whatever it says itself, at the first record', async () => {
    const { ending, bench } = await listen('{id: q, for: 1 h}', idle(1, 2.5));
    expect(ending).toMatchObject({
      outcome: 'tripped',
      reason: "q, channel 1: 2.50 V of DC with nothing playing, more than the bench's limit of 2.00 V",
    });
    expect(bench.now_s()).toBeLessThan(3);
  });

  it('reads only what has a tap', async () => {
    const shared = benchText(2, 'shared_inputs: yes\n').replaceAll('input: {', 'input: {channel: 1, ');
    const bench = new FakeBench(2, idle(2, 0.05));
    const played = await play(sequence('{id: q, for: 1 s}'), benchOf(shared), bench);
    expect(foundIn(played, 'dc').map(({ step, channel, value }) => [step, channel, value])).toEqual([
      ['q/taps-1', 1, 0],
      ['q/taps-2', 2, expect.closeTo(0.05, 6)],
    ]);
  });

  it('hears the hum of the twin fresh from repair', async () => {
    const setup = benchOf(benchText(2).replace('twin: ideal-40', 'twin: repaired-crossover'));
    const played = await play(sequence('{id: q, for: 3 s}'), setup, openSimulated(setup));
    expect(played.ending.outcome).toBe('completed');
    const hums = foundIn(played, 'hum');
    expect(hums).toHaveLength(2);
    // Its supply runs on mains of 50 Hz.
    for (const { value, terms } of hums) {
      expect(terms.mains_Hz).toBe(50);
      expect(value).toBeGreaterThan(1e-6);
      expect(value).toBeLessThan(1e-3);
    }
  });

  describe('that asks for DC by meter', () => {
    const metered = (options: PlayOptions, keys = '') =>
      play(
        sequence(`{id: q, for: 1 s, dc_meter: yes${keys}}`),
        benchOf(benchText(2)),
        new FakeBench(2, idle(2, 0), true),
        options,
      );
    const readings = { 1: 0.012, 2: null } as const;

    it('keeps what is typed in for each channel, and nothing where nothing was measured', async () => {
      const asked: string[] = [];
      const askReading: PlayOptions['askReading'] = async ({ text }) => {
        asked.push(text);
        return readings[asked.length as 1 | 2];
      };
      const played = await metered({ askReading });
      expect(asked).toEqual([
        'DC at the output of channel 1 by meter, in mV (empty: not measured):',
        'DC at the output of channel 2 by meter, in mV (empty: not measured):',
      ]);
      expect(foundIn(played, 'dc-by-meter')).toMatchObject([{ channel: 1, value: 0.012, step: 'q' }]);
      expect(foundIn(played, 'dc')).toHaveLength(2);
    });

    it('ends the run before anything is played where a reading passes its limit', async () => {
      const { ending, of } = await metered({ askReading: async () => -0.3 }, ', most_dc: 200 mV');
      expect(ending).toMatchObject({
        cause: 'sequence-limit',
        reason: 'q, channel 1: -300.0 mV of DC by meter, more than 200.0 mV',
      });
      expect(of('finding')).toHaveLength(1);
    });

    it('tells what is typed in and heard after an interruption, although it was told before', async () => {
      const setup = benchOf(benchText(1));
      const plan = makePlan(readSequence(sequence('{id: q, for: 1 s, dc_meter: yes}'), 'test.yaml'), setup);
      const stand = (dc_V: number, own_V: number) => ({
        ...{ plan, setup, bench: new FakeBench(1, idle(1, own_V), true) },
        askReading: async () => dc_V,
      });
      const first = await session(stand(0.008, 0.001));
      const last = first.events.findLastIndex(({ kind }) => kind === 'finding');
      const resumed = await session(stand(0.15, 0.05), first.events.slice(0, last + 1));
      const values = (quantity: 'dc' | 'dc-by-meter') => foundIn(resumed, quantity).map(({ value }) => value);
      expect(values('dc-by-meter')).toEqual([0.008, 0.15]);
      expect(values('dc')).toEqual([expect.closeTo(0.001, 6), expect.closeTo(0.05, 6)]);
    });

    it('goes on without a reading where nobody is there to be asked', async () => {
      const played = await metered({});
      expect(played.ending.outcome).toBe('completed');
      expect(foundIn(played, 'dc-by-meter')).toEqual([]);
    });
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
