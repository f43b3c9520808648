import { describe, expect, it } from 'vitest';
import type { BenchSetup } from '../../../src/bench/bench-setup.js';
import { isReal, readingChanges } from '../../../src/record/reading-changes.js';
import { type KeptPoint, RemeasureMisfit, remeasurePoint } from '../../../src/runner/capture/remeasure.js';
import type { CourseEvent } from '../../../src/runner/course/run-request.js';
import { play } from '../run.js';
import { twinBench } from '../twin-bench.js';

type PointEvent = Extract<CourseEvent, { kind: 'point' }>;

const keptOf = ({ point, readings, settlings, capture }: PointEvent): KeptPoint => ({
  point,
  rate_Hz: capture.rate_Hz,
  channels: capture.channels.map(({ samples }, i) => ({
    reading: readings[i]!,
    settling: settlings?.[i] ?? null,
    samples,
  })),
});

async function changesOf(setup: BenchSetup, kept: KeptPoint) {
  const again = await remeasurePoint(setup, kept);
  return again.flatMap((reading, i) => readingChanges(kept.channels[i]!.reading, reading));
}

const SEQUENCE = `name: All kinds
load: 8 ohm
steps:
  - climb: {id: up, frequency: 1 kHz}
  - sweep: {id: across, level: 1 W, frequencies: [20 Hz, 1 kHz, 7 kHz]}
  - hold: {id: still, level: 1 W, frequency: 1 kHz, for: 5 s}
`;

const SHORT = `name: Short
load: 8 ohm
steps:
  - sweep: {id: across, level: 60 W, frequencies: [40 Hz, 1 kHz, 6.5 kHz]}
`;

const HELD = `name: Held
load: 8 ohm
steps:
  - hold: {id: still, level: 60 W, frequency: 1 kHz, for: 4 s}
`;

describe('a run just made, read again', { timeout: 120_000 }, () => {
  it.each([
    ['without records', 'ideal-40', SEQUENCE, []],
    [
      'with records of response and loads that warm up',
      'stiff-pair',
      HELD,
      ['response', 'warmth', 'records'],
    ],
    ['with a current shunt on every load', 'installed-eight', SHORT, ['current', 'warmth', 'records']],
    ['with one input for two taps', 'seven-shared', SHORT, []],
  ])('%s, gives the same figures', async (_what, name, sequence, has) => {
    const { setup, bench } = twinBench(name);
    const { of } = await play(sequence, setup, bench);
    const points = of('point');
    expect(points.length).toBeGreaterThanOrEqual(2);
    const readings = points.flatMap((one) => one.readings);
    // That the bench has what it is here for.
    const shows: Record<string, boolean> = {
      response: setup.channels.some(({ response }) => response !== null),
      warmth: readings.some((one, i) => one.load_measured_ohm !== readings[0]!.load_measured_ohm && i > 0),
      records: readings.every(({ uncertainty_W }) => uncertainty_W !== null),
      current: readings.every(({ current_A }) => current_A !== null),
    };
    for (const kind of has) expect([kind, shows[kind]]).toEqual([kind, true]);
    for (const point of points) {
      const changes = await changesOf(setup, keptOf(point));
      expect(changes.filter(isReal)).toEqual([]);
      // What is left is the way back from the gain to the level played, and from the ohms to the warmth.
      for (const { relative } of changes) expect(relative).toBeLessThan(1e-12);
    }
  });
});

describe('samples that were changed', () => {
  const played = async (name: string, sequence: string) => {
    const { setup, bench } = twinBench(name);
    const { of } = await play(sequence, setup, bench);
    return { setup, kept: keptOf(of('point')[1]!) };
  };

  it('by a factor show that factor in volts, its square in watts, and none in distortion', async () => {
    // A unit with distortion and noise of its own: that of the ideal one is nothing but rounding.
    const { setup, kept } = await played('stiff-pair', SHORT);
    const factor = 1.01;
    const louder = {
      ...kept,
      channels: kept.channels.map((one) => ({ ...one, samples: one.samples.map((x) => factor * x) })),
    };
    const [now] = await remeasurePoint(setup, louder);
    const then = kept.channels[0]!.reading;
    expect(now!.voltage_V / then.voltage_V).toBeCloseTo(factor, 12);
    expect(now!.power_W / then.power_W).toBeCloseTo(factor ** 2, 12);
    expect(now!.gain_dB - then.gain_dB).toBeCloseTo(20 * Math.log10(factor), 10);
    expect(now!.thdn_percent / then.thdn_percent).toBeCloseTo(1, 9);
    const changed = (await changesOf(setup, louder)).filter(isReal).map(({ quantity }) => quantity);
    expect(changed).toEqual(expect.arrayContaining(['power_W', 'voltage_V', 'peak_V', 'gain_dB']));
    expect(changed).not.toContain('thdn_percent');
  });

  it('by a gap show it among the flags, while flags that no sample tells stay', async () => {
    const { setup, kept } = await played('ideal-40', SHORT);
    const [one] = kept.channels;
    const reading = { ...one!.reading, flags: ['not-settled' as const, 'unaligned' as const] };
    const torn = Float64Array.from(one!.samples);
    torn.copyWithin(10_000, 10_013);
    const [now] = await remeasurePoint(setup, { ...kept, channels: [{ ...one!, reading, samples: torn }] });
    expect(now!.flags).toEqual(expect.arrayContaining(['gap-in-capture', 'not-settled', 'unaligned']));
    const kinky = { ...reading, flags: ['break-in-step' as const] };
    const [again] = await remeasurePoint(setup, {
      ...kept,
      channels: [{ ...one!, reading: kinky, samples: torn }],
    });
    expect(again!.flags).toContain('break-in-step');
    expect(again!.flags).not.toContain('gap-in-capture');
  });

  it('are held against the bench of the run, which must have the channel and the load', async () => {
    const { setup, kept } = await played('ideal-40', SHORT);
    const [one] = kept.channels;
    const elsewhere = { ...kept, channels: [{ ...one!, reading: { ...one!.reading, load_ohm: 2 } }] };
    await expect(remeasurePoint(setup, elsewhere)).rejects.toThrow(RemeasureMisfit);
    await expect(remeasurePoint({ ...setup, channels: [] }, kept)).rejects.toThrow(RemeasureMisfit);
  });
});
