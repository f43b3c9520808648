import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Trip } from '../../src/safety/trip.js';
import { tripLimits } from '../../src/safety/trip-limits.js';
import { TripWatch } from '../../src/safety/trip-watch.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { rampFramesOf } from '../../src/signal/envelope.js';
import { renderSchedule } from '../../src/signal/schedule.js';
import { type Stimulus, stimulus, twoTone } from '../../src/signal/stimulus.js';
import { crestFactor } from '../signal/closed-forms.js';
import { stand, stepOf } from './stand.js';

/*
 * Bursts and two lines before the trip watch. The stand has 8 ohm loads of 250 W (63.2 V peak of a sine; trips at 275 W), and
 * 100 V at the load for a sample of 1.
 */
const RATE = stand.rate_Hz;
const FULL_V = 100;
const BLOCK = 1024;
const AFTER_RAMP = 1440;
const STEP = stepOf('climb: {id: c, frequency: 1 kHz, from: 1 W}');

const tone = (nominal_Hz: number, minimumFrames = 0) =>
  coherentTone({ nominal_Hz, rate_Hz: RATE, minimumFrames });
const burst = (nominal_Hz: number, on_s: number, period_s: number) =>
  stimulus({
    lines: [{ tone: tone(nominal_Hz), share: 1 }],
    envelope: { kind: 'burst', on_s, period_s },
  });
/** 10 ms of 1 kHz twice a second. */
const SHORT = burst(1000, 0.01, 0.5);

interface Played {
  readonly of: Stimulus;
  readonly peak_V: number;
  readonly seconds: number;
  /** What the unit makes of what it is given, in volts at the load. */
  readonly unit?: (voltage_V: number, frame: number) => number;
}

/** Plays a stimulus at one level through a watch; gives the trip and the second at whose block it came. */
function watchPlay({ of, peak_V, seconds, unit = (voltage_V) => voltage_V }: Played) {
  const watch = new TripWatch(tripLimits(STEP, stand, crestFactor(of)), stand, STEP);
  const peaks = [peak_V / FULL_V, peak_V / FULL_V];
  const rampFrames = rampFramesOf(of.envelope, RATE);
  const schedule = [{ at: 0, stimulus: of, peaks, rampFrames }];
  for (let start = 0; start < seconds * RATE; start += BLOCK) {
    const channels = renderSchedule(schedule, 2, start, BLOCK).map((samples) =>
      samples.map((sample, i) => unit(sample * FULL_V, start + i) / FULL_V),
    );
    const standing = rampFrames + AFTER_RAMP <= start;
    const trip = watch.look({ start, channels }, { stimulus: of, peaks, steady: standing });
    if (trip) return { trip, at_s: start / RATE };
  }
  return { trip: null as Trip | null, at_s: Number.POSITIVE_INFINITY };
}

/** A fault from so many seconds on. */
const from = (at_s: number, faulty: (voltage_V: number, frame: number) => number) =>
  function unit(voltage_V: number, frame: number): number {
    return frame < at_s * RATE ? voltage_V : faulty(voltage_V, frame);
  };

describe('A trip watch stays quiet', () => {
  it('for any burst of 10 ms to 0.2 s at the full power of a load', () => {
    const milliseconds = (min: number, max: number) => fc.integer({ min, max }).map((ms) => ms / 1000);
    fc.assert(
      fc.property(
        fc.integer({ min: 400, max: 20_000 }),
        milliseconds(10, 200),
        milliseconds(2, 300),
        (nominal_Hz, on_s, gap_s) =>
          watchPlay({ of: burst(nominal_Hz, on_s, on_s + gap_s), peak_V: 63.2, seconds: 1 }).trip === null,
      ),
      { seed: 21, numRuns: 40 },
    );
  });

  it.each([
    [60, 7000],
    [1000, 1010],
    [19_000, 20_000],
    [400, 2000],
  ])('for lines of %d and %d Hz whose power is that of the load', (one, other) => {
    const frames = Math.max(tone(one).frames, tone(other).frames);
    const of = twoTone(tone(one, frames), tone(other, frames), [4, 1]);
    // 250 W into 8 ohm are 44.7 V rms; times the crest factor of the lines.
    expect(watchPlay({ of, peak_V: 44.7 * crestFactor(of), seconds: 1.5 }).trip).toBeNull();
  });

  it('for a unit that clips in each burst, and one whose rails sag from burst to burst', () => {
    const unit = (voltage_V: number, frame: number) => {
      const rail_V = 30 - 5 * Math.min(1, frame / RATE);
      return Math.max(-rail_V, Math.min(rail_V, voltage_V));
    };
    expect(watchPlay({ of: burst(1000, 0.02, 0.1), peak_V: 60, seconds: 1.5, unit }).trip).toBeNull();
  });
});

describe('A trip watch of bursts trips', () => {
  it('by what one burst of 10 ms gives, however little that is on average', () => {
    // 70 V peak: 306 W while it sounds, 5.4 W on average.
    const { trip, at_s } = watchPlay({
      of: SHORT,
      peak_V: 40,
      seconds: 2,
      unit: from(0.9, (voltage_V) => 1.75 * voltage_V),
    });
    expect(trip).toMatchObject({ kind: 'over-power', channel: 1 });
    expect(trip!.measured).toBeGreaterThan(275);
    expect(trip!.measured).toBeLessThan(306.5);
    expect(at_s).toBeGreaterThan(0.95);
    expect(at_s).toBeLessThan(1.02);
  });

  it('at the first burst that is lost, by what the ones before it gave', () => {
    const { trip, at_s } = watchPlay({ of: SHORT, peak_V: 30, seconds: 2, unit: from(0.9, () => 0) });
    expect(trip).toMatchObject({ kind: 'output-lost', channel: 1 });
    expect(trip!.limit).toBeCloseTo((0.1 * 30) / Math.SQRT2, 1);
    expect(at_s).toBeLessThan(1.03);
  });

  it('at the first burst that has risen by more than 12 dB', () => {
    const louder = (times: number) => from(0.9, (voltage_V) => times * voltage_V);
    expect(watchPlay({ of: SHORT, peak_V: 2, seconds: 2, unit: louder(3.9) }).trip).toBeNull();
    const { trip, at_s } = watchPlay({ of: SHORT, peak_V: 2, seconds: 2, unit: louder(10) });
    expect(trip).toMatchObject({ kind: 'output-risen', channel: 1 });
    expect(at_s).toBeLessThan(1.03);
  });

  it('within 0.15 s of DC in a gap, and of DC that bursts ride on', () => {
    const direct = (voltage_V: number) => voltage_V + 5;
    const inGap = watchPlay({ of: SHORT, peak_V: 30, seconds: 2, unit: from(0.6, direct) });
    expect(inGap.trip).toMatchObject({ kind: 'dc', channel: 1, limit: 2 });
    // The first of the two windows may lie partly before the fault.
    expect(inGap.trip!.measured).toBeGreaterThan(2);
    expect(inGap.at_s).toBeLessThan(0.75);
    const dense = watchPlay({
      of: burst(1000, 0.02, 0.04),
      peak_V: 30,
      seconds: 1,
      unit: from(0.5, direct),
    });
    expect(dense.trip).toMatchObject({ kind: 'dc', channel: 1 });
    expect(dense.at_s).toBeLessThan(0.72);
  });

  it('within 0.1 s of a unit that sounds by itself in a gap', () => {
    // 25 V peak: 39 W, a seventh of what the step allows.
    const howling = (voltage_V: number, frame: number) => voltage_V + 25 * Math.sin(0.7 * frame);
    const { trip, at_s } = watchPlay({ of: SHORT, peak_V: 30, seconds: 2, unit: from(0.6, howling) });
    expect(trip).toMatchObject({ kind: 'over-power', channel: 1 });
    expect(trip!.limit).toBeCloseTo(27.5, 9);
    expect(at_s).toBeLessThan(0.7);
  });

  it('within a block when a burst passes the volts of the step', () => {
    const { trip, at_s } = watchPlay({
      of: SHORT,
      peak_V: 40,
      seconds: 2,
      unit: from(0.9, (voltage_V) => 2.2 * voltage_V),
    });
    expect(trip!.kind).toMatch(/over-(voltage|power)/);
    expect(at_s).toBeLessThan(1.02);
  });
});

describe('A trip watch of two lines trips', () => {
  const both = twoTone(tone(60), tone(7000, tone(60).frames), [4, 1]);

  it('when the output is lost', () => {
    const unit = from(1, (voltage_V) => voltage_V / 1000);
    const { trip, at_s } = watchPlay({ of: both, peak_V: 30, seconds: 2, unit });
    expect(trip).toMatchObject({ kind: 'output-lost', channel: 1 });
    expect(at_s).toBeLessThan(1.2);
  });

  it('when half of the output stage gives way, and takes neither line for distortion of the other', () => {
    const { trip, at_s } = watchPlay({
      of: both,
      peak_V: 30,
      seconds: 2,
      // Less its mean, as an AC-coupled input sees it: DC would be told first.
      unit: from(1, (voltage_V) => Math.max(0, voltage_V) - 7.7),
    });
    expect(trip).toMatchObject({ kind: 'thdn-runaway', channel: 1, limit: 30 });
    expect(at_s).toBeLessThan(1.35);
  });

  it('beyond the peak that the power of the step has with their crest factor', () => {
    const [limits] = tripLimits(STEP, stand, crestFactor(both));
    // 275 W in 8 ohm are 46.9 V rms; 1.25 * 1.714986 * 46.904 = 100.55.
    expect(limits!.voltage_Vpk).toBeCloseTo(100.55, 2);
  });
});
