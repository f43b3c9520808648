import { describe, expect, it } from 'vitest';
import type { Sensor, SensorSetup } from '../../../src/bench/sensor.js';
import { runPlan } from '../../../src/runner/course/run-plan.js';
import type { Ask, CourseEvent } from '../../../src/runner/course/run-request.js';
import { makePlan } from '../../../src/sequence/make-plan.js';
import { readSequence } from '../../../src/sequence/sequence-file.js';
import { clippingUnit, FakeBench, type Through } from '../fake-bench.js';
import { benchOf, benchText } from '../run.js';

const SEQUENCE = `
name: Guarded
load: 8 ohm
driven: all
steps:
  - sweep: {id: first, level: 20 W, frequencies: [500 Hz, 1 kHz]}
  - rest: 5 min
  - sweep: {id: second, level: 20 W, frequencies: [500 Hz, 1 kHz]}
`;

const sensorOf = (read: Sensor['read'], changes: Partial<SensorSetup> = {}): Sensor => ({
  setup: {
    name: 'sink',
    unit: 'degC',
    every_s: 10,
    timeout_s: 5,
    high: 85,
    low: null,
    needed: true,
    source: { kind: 'heatsink' },
    ...changes,
  },
  read,
});

interface Options {
  readonly sensors?: readonly Sensor[];
  readonly more?: string;
  readonly through?: Through;
  readonly bench?: FakeBench;
  readonly ask?: Ask;
  readonly sequence?: string;
  readonly edit?: (benchFile: string) => string;
}

async function play({ sensors = [], more = '', through = clippingUnit(1, 0.4), ...options }: Options) {
  const setup = benchOf((options.edit ?? ((text) => text))(benchText(1, more)));
  const bench = options.bench ?? new FakeBench(1, through);
  const events: CourseEvent[] = [];
  const ending = await runPlan({
    plan: makePlan(readSequence(options.sequence ?? SEQUENCE, 'test.yaml'), setup),
    bench,
    setup,
    sensors,
    ask: options.ask ?? (async () => true),
    signal: new AbortController().signal,
    listener: (event) => void events.push(event),
  });
  const samples = events.flatMap((event) => (event.kind === 'sensor' ? [event.sample] : []));
  const points = events.flatMap((event) => (event.kind === 'point' ? [event.point.step] : []));
  const notes = events.flatMap((event) => (event.kind === 'note' ? [event.text] : []));
  return { ending, bench, events, samples, points, notes };
}

describe('a guarded run', () => {
  it('samples its sensors on the time of the bench, also while it rests, and shows them', async () => {
    let value = 20;
    const played = await play({ sensors: [sensorOf(() => value++)] });
    expect(played.ending.outcome).toBe('completed');
    const times = played.samples.map(({ at_s }) => at_s);
    expect(times.length).toBeGreaterThan(30);
    expect(times[0]).toBeLessThan(0.1);
    for (let i = 1; i < times.length; i += 1) expect(times[i]! - times[i - 1]!).toBeCloseTo(10, 0);
    expect(played.samples.map((sample) => sample.value)).toEqual(times.map((_, i) => 20 + i));
    const shown = played.events.flatMap((event) =>
      event.kind === 'progress' ? [event.progress.sensors] : [],
    );
    expect(shown[0]).toEqual([{ name: 'sink', unit: 'degC', value: 20 }]);
  });

  it('is tripped by a limit while it plays, and ramped down', async () => {
    let calls = 0;
    const hot = sensorOf(
      () => {
        calls += 1;
        return calls > 1 ? 90 : 40;
      },
      { every_s: 1 },
    );
    const { ending, points, bench, samples } = await play({ sensors: [hot] });
    expect(ending).toMatchObject({
      outcome: 'tripped',
      reason: 'sensor sink: 90 °C, more than the 85 °C that the bench file allows',
    });
    expect(points.every((step) => step === 'first')).toBe(true);
    expect(bench.calls.slice(-2)).toEqual(['silence', 'close']);
    expect(samples.at(-1)).toMatchObject({ value: 90 });
  });

  it('is tripped while it rests', async () => {
    const late = sensorOf(() => (late.calls++ > 10 ? 90 : 40)) as Sensor & { calls: number };
    late.calls = 0;
    const { ending, points } = await play({ sensors: [late] });
    expect(ending.outcome).toBe('tripped');
    expect(points).toEqual(['first', 'first']);
  });

  it('neither waits for a sensor that hangs nor for its end', async () => {
    const signals: AbortSignal[] = [];
    const hanging = sensorOf((signal) => {
      signals.push(signal);
      return new Promise(() => {});
    });
    const { ending, points } = await play({ sensors: [hanging] });
    expect([ending.outcome, points.length]).toEqual(['completed', 4]);
    expect(signals.map(({ aborted }) => aborted)).toEqual([true]);
  });

  it('is ended by its energy, its time and its lost samples, each by the limit of the bench file', async () => {
    const energy = await play({ more: 'energy_limit: 50 J\n' });
    expect(energy.ending.outcome).toBe('tripped');
    expect(energy.ending.reason).toMatch(
      /^all loads together have taken 50\.\d J, more than the 50 J that this run allows$/,
    );
    const time = await play({ more: 'time_limit: 1 min\n' });
    expect(time.ending).toMatchObject({
      outcome: 'tripped',
      reason: expect.stringMatching(/^the run has taken 1 min.*more than the 1 min that it may last$/),
    });
    const lossy: Through = (samples, channel, start) => {
      const out = clippingUnit(1, 0.4)(samples, channel, start);
      const lost = start > 60_000 && start < 400_000 && start % 16_384 === 0;
      return lost ? out.copyWithin(100, 107) : out;
    };
    const lost = await play({ through: lossy, more: 'dropout_limit: 1\n' });
    expect(lost.ending.outcome).toBe('fault');
    expect(lost.ending.reason).toMatch(/samples were lost in 2 captures of this run, more than the 1 /);
    // Without that limit it is the point that gives up, at its third try.
    expect((await play({ through: lossy })).ending.reason).toMatch(/in 3 captures running/);
  });

  it("is not ended by kinks that leave the tone in step: they are the unit's own", async () => {
    const kinked: Through = (samples, channel, start) => {
      const out = clippingUnit(1, 0.4)(samples, channel, start);
      if (start > 60_000 && start % 16_384 === 0) out[100]! += 0.02;
      return out;
    };
    const { ending } = await play({ through: kinked, more: 'dropout_limit: 1\n' });
    expect(ending.outcome).toBe('completed');
    const { notes, events } = await play({ through: kinked });
    expect(notes.filter((text) => /a break, but in step/.test(text)).length).toBeGreaterThan(2);
    const flags = events.flatMap((event) => (event.kind === 'point' ? event.readings[0]!.flags : []));
    expect(flags).toContain('break-in-step');
    expect(flags).not.toContain('gap-in-capture');
  });

  it('does not count the time that the operator takes', async () => {
    const bench = new FakeBench(1, clippingUnit(1, 0.4), true);
    const { ending } = await play({
      bench,
      more: 'time_limit: 8 min\n',
      ask: async () => {
        await bench.idle(3600);
        return true;
      },
    });
    expect(ending.outcome).toBe('completed');
  });

  it('warns of a load at 90 % of its rating, and ends when it is warmer than its rating makes it', async () => {
    const quickLoad = (text: string) => text.replace('rating: 400 W', 'rating: 400 W, thermal: 1 s');
    const strong = SEQUENCE.replaceAll('20 W', '380 W').replaceAll(
      '[500 Hz,',
      '[500 Hz, 600 Hz, 700 Hz, 800 Hz,',
    );
    const warm = await play({ sequence: strong, through: clippingUnit(1, 0.9), edit: quickLoad });
    expect(warm.ending.outcome).toBe('completed');
    expect(warm.notes.filter((note) => note.includes('% of its rating of 400.0 W'))).toHaveLength(1);
    // The runner counts with some two seconds a point, which this load stands; a unit that never settles takes eight.
    const wavering: Through = (samples, channel, start) =>
      clippingUnit(1 + 0.02 * Math.sin((start / 48_000) * 5.7), 0.9)(samples, channel, start);
    const shortLoad = (text: string) =>
      text.replace('rating: 400 W', 'rating: 300 W, short_rating: 400 W, thermal: 2 s');
    const hot = await play({ sequence: strong, through: wavering, edit: shortLoad });
    expect(hot.ending.outcome).toBe('tripped');
    expect(hot.ending.reason).toMatch(
      /^channel 1: the load is estimated to be as hot as 31\d\.\d W .* more than the 315\.0 W/,
    );
  });
});
