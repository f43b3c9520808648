import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { KnownGains } from '../../src/safety/known-gains.js';
import type { Trip } from '../../src/safety/trip.js';
import { tripLimits } from '../../src/safety/trip-limits.js';
import { TripWatch } from '../../src/safety/trip-watch.js';
import { type CoherentTone, coherentTone } from '../../src/signal/coherent-tone.js';
import { seededRandom } from '../../src/signal/dither.js';
import { SINE_CREST, steady } from '../../src/signal/stimulus.js';
import { renderTone, type ToneChange } from '../signal/tone-source.js';
import { stand, stepOf } from './stand.js';

const RATE = stand.rate_Hz;
/** Load volts for a sample of 1.0 on the stand. */
const FULL_V = 100;
const BLOCK = 1024;
const RAMP = 960;
/** The runner calls a level steady this long after the ramp. */
const AFTER_RAMP = 1440;

interface Played {
  readonly schedule: readonly ToneChange[];
  readonly seconds: number;
  /** What the unit makes of the sine of one channel, in volts at the load; frame is the position in the stream. */
  readonly unit?: (voltage_V: number, frame: number, channel: number) => number;
}

const tone = (nominal_Hz: number, rate_Hz = RATE) => coherentTone({ nominal_Hz, rate_Hz });
/** One tone at one level on both channels, from silence, in volts peak at the load. */
const level = (of: CoherentTone, peak_V: number, at = 0): ToneChange => ({
  at,
  tone: of,
  peaks: [peak_V / FULL_V, peak_V / FULL_V],
  rampFrames: RAMP,
});

/** Plays a schedule through a watch block by block; gives the trip and the frame at whose block it came. */
function watchPlay(step: string, { schedule, seconds, unit = (voltage_V) => voltage_V }: Played) {
  const watch = new TripWatch(tripLimits(stepOf(step), stand, SINE_CREST), stand, stepOf(step));
  for (let start = 0; start < seconds * RATE; start += BLOCK) {
    const change = schedule.findLast((candidate) => candidate.at < start + BLOCK);
    const stands = change !== undefined && change.at + change.rampFrames + AFTER_RAMP <= start;
    const channels = renderTone(schedule, 2, start, BLOCK).map((samples, channel) =>
      samples.map((sample, i) => unit(sample * FULL_V, start + i, channel) / FULL_V),
    );
    const playing = change
      ? { stimulus: steady(change.tone), peaks: change.peaks, steady: stands }
      : { stimulus: null, peaks: [], steady: stands };
    const trip = watch.look({ start, channels }, playing);
    if (trip) return { trip, frame: start };
  }
  return { trip: null as Trip | null, frame: Number.POSITIVE_INFINITY };
}

/** 100 W into 8 ohm: 40 V peak. The stand allows 250 W (63.2 V peak). */
const CLIMB = 'climb: {id: c, frequency: 1 kHz, from: 1 W}';

describe('tripLimits', () => {
  it('takes the lowest of load, attenuator and step', () => {
    // Load 250 W: trip at 275 W, whose sine has 66.33 V peak in 8 ohm, times 1.25.
    const [first, second] = tripLimits(stepOf(CLIMB), stand, SINE_CREST);
    expect(first).toMatchObject({ channel: 1, index: 0, voltsPerUnit: 100, load_ohm: 8, dc_V: 2 });
    expect(first!.power_W).toBeCloseTo(275, 9);
    expect(first!.voltage_Vpk).toBeCloseTo(1.25 * Math.sqrt(2 * 275 * 8), 9);
    expect(second!.index).toBe(1);
    const gentle = tripLimits(stepOf('climb: {frequency: 1 kHz, to: 50 W, driven: [2]}'), stand, SINE_CREST);
    expect(gentle).toHaveLength(1);
    expect(gentle[0]).toMatchObject({ channel: 2, index: 1, power_W: 100 });
  });

  it('never allows more than the attenuator stands', () => {
    const channels = stand.channels.map((chain) => ({ ...chain, attenuatorRating_Vpk: 70 }));
    expect(tripLimits(stepOf(CLIMB), { ...stand, channels }, SINE_CREST)[0]!.voltage_Vpk).toBe(70);
  });
});

describe('TripWatch stays quiet', () => {
  it('while a level is driven far into clipping in one step, and while it clips more and more as it sags', () => {
    const of = tone(1000);
    const schedule = [level(of, 10), level(of, 60, RATE / 2)];
    const clip = (rail_V: number, voltage_V: number) => Math.max(-rail_V, Math.min(rail_V, voltage_V));
    // 60 V into rails of 12 V are nearly a square wave: 39 % THD+N at once; then the rails sag to 6 V.
    const unit = (voltage_V: number, frame: number) =>
      clip(12 - 6 * Math.min(1, Math.max(0, frame / RATE - 0.6)), voltage_V);
    expect(watchPlay(CLIMB, { schedule, seconds: 2, unit }).trip).toBeNull();
  });

  it.each([20, 20.7, 25, 31.5, 50, 63, 100, 997, 1000, 6300, 20_000])(
    'for a tone of %d Hz at full power',
    (nominal_Hz) => {
      // 250 W in 8 ohm is 63.25 V peak: at the rating, 10 % under the trip.
      expect(watchPlay(CLIMB, { schedule: [level(tone(nominal_Hz), 63.2)], seconds: 1 }).trip).toBeNull();
    },
  );

  it('for any frequency, level, changes and ramps within the limits', () => {
    const frequency = fc.double({ min: 20, max: 20_000, noNaN: true });
    const peak = fc.double({ min: 0.01, max: 63, noNaN: true });
    fc.assert(
      fc.property(frequency, fc.array(peak, { minLength: 2, maxLength: 4 }), (nominal_Hz, peaks) => {
        const of = tone(nominal_Hz);
        const schedule = peaks.map((peak_V, i) => level(of, peak_V, Math.round(i * 0.2 * RATE)));
        return watchPlay(CLIMB, { schedule, seconds: 0.2 * peaks.length }).trip === null;
      }),
      { seed: 5, numRuns: 60 },
    );
  });

  it('for a clipping unit with ripple on its rails, also at 20 Hz', () => {
    const clip = (voltage_V: number, frame: number) => {
      const rail = 40 + 1.5 * Math.sin((2 * Math.PI * 100 * frame) / RATE);
      return Math.max(-rail, Math.min(rail, voltage_V));
    };
    for (const nominal_Hz of [20, 1000])
      expect(
        watchPlay(CLIMB, { schedule: [level(tone(nominal_Hz), 50)], seconds: 1, unit: clip }).trip,
      ).toBeNull();
  });

  it('while a level falls by a factor of a thousand on purpose', () => {
    const of = tone(1000);
    const schedule = [level(of, 40), level(of, 0.04, RATE / 2)];
    expect(watchPlay(CLIMB, { schedule, seconds: 1 }).trip).toBeNull();
  });

  it('for a stray sample at the rails', () => {
    const click = (voltage_V: number, frame: number) => (frame === 20_000 ? FULL_V : voltage_V);
    expect(watchPlay(CLIMB, { schedule: [level(tone(1000), 10)], seconds: 1, unit: click }).trip).toBeNull();
  });

  it('for what channels do that are not driven', () => {
    const broken = (voltage_V: number, _: number, channel: number) => (channel === 1 ? 50 : voltage_V);
    const step = 'climb: {frequency: 1 kHz, driven: [1]}';
    expect(watchPlay(step, { schedule: [level(tone(1000), 10)], seconds: 1, unit: broken }).trip).toBeNull();
  });
});

describe('TripWatch trips', () => {
  const AT = RATE / 2;
  const from =
    (faulty: (voltage_V: number, frame: number) => number) =>
    (voltage_V: number, frame: number, channel: number) =>
      frame >= AT && channel === 1 ? faulty(voltage_V, frame) : voltage_V;
  const within = (frame: number, seconds: number) => {
    expect(frame).toBeGreaterThanOrEqual(AT - BLOCK);
    expect(frame).toBeLessThanOrEqual(AT + seconds * RATE);
  };

  it('within a block when the voltage passes its limit', () => {
    const { trip, frame } = watchPlay(CLIMB, {
      schedule: [level(tone(1000), 40)],
      seconds: 1,
      unit: from((voltage_V) => 2.2 * voltage_V),
    });
    expect(trip).toMatchObject({ kind: 'over-voltage', channel: 2 });
    expect(trip!.measured).toBeCloseTo(88, 0);
    expect(trip!.limit).toBeCloseTo(82.92, 2);
    expect(trip!.text).toBe(
      'c, channel 2: 88.0 V peak at the load, more than the 82.9 V that this step allows',
    );
    within(frame, BLOCK / RATE);
  });

  it('within 0.1 s when the power passes its limit', () => {
    const { trip, frame } = watchPlay(CLIMB, {
      schedule: [level(tone(1000), 40)],
      seconds: 1,
      unit: from((voltage_V) => 1.75 * voltage_V),
    });
    // 70 V peak in 8 ohm is 306.25 W; the load of 250 W trips at 275 W.
    expect(trip).toMatchObject({ kind: 'over-power', channel: 2 });
    expect(trip!.measured).toBeGreaterThan(275);
    expect(trip!.measured).toBeLessThan(307);
    within(frame, 0.1 + BLOCK / RATE);
  });

  it.each([20, 1000, 20_000])('within 0.2 s of DC under a tone of %d Hz', (nominal_Hz) => {
    const { trip, frame } = watchPlay(CLIMB, {
      schedule: [level(tone(nominal_Hz), 30)],
      seconds: 1,
      unit: from((voltage_V) => voltage_V - 5),
    });
    expect(trip).toMatchObject({ kind: 'dc', channel: 2, limit: 2 });
    // The first of the two windows may lie partly before the fault.
    expect(trip!.measured).toBeGreaterThan(2);
    expect(trip!.measured).toBeLessThan(5.01);
    within(frame, 0.2 + BLOCK / RATE);
  });

  it('on DC that was there before the tone', () => {
    const { trip, frame } = watchPlay(CLIMB, {
      schedule: [level(tone(1000), 1)],
      seconds: 1,
      unit: (voltage_V) => voltage_V + 3,
    });
    expect(trip!.kind).toBe('dc');
    expect(trip!.measured).toBeCloseTo(3, 2);
    expect(frame).toBeLessThan(0.25 * RATE);
  });

  it('within a block when the input converter is at its rails', () => {
    // With an attenuator of 1:10 the converter ends at 40 V peak, below the step's own limits.
    const channels = stand.channels.map((chain) => ({ ...chain, attenuator_ratio: 10 }));
    const step = stepOf(CLIMB);
    const watch = new TripWatch(tripLimits(step, { ...stand, channels }, SINE_CREST), stand, step);
    const of = tone(1000);
    const [sine] = renderTone([{ at: -RAMP, tone: of, peaks: [1.05], rampFrames: RAMP }], 1, 0, BLOCK);
    const clipped = sine!.map((sample) => Math.max(-1, Math.min(1, sample)));
    const trip = watch.look(
      { start: 0, channels: [clipped, clipped] },
      { stimulus: steady(of), peaks: [1, 1], steady: true },
    );
    expect(trip).toMatchObject({ kind: 'converter-rails', channel: 1, measured: 1 });
    expect(trip!.text).toBe(
      'c, channel 1: the input converter clips, so the voltage at the load is not known',
    );
  });

  it('within 0.2 s when the output is lost', () => {
    for (const nominal_Hz of [20, 1000]) {
      const { trip, frame } = watchPlay(CLIMB, {
        schedule: [level(tone(nominal_Hz), 30)],
        seconds: 1,
        unit: from((voltage_V) => voltage_V / 1000),
      });
      expect(trip).toMatchObject({ kind: 'output-lost', channel: 2 });
      expect(trip!.text).toContain('the protection of the unit may have tripped');
      within(frame, 0.2 + BLOCK / RATE);
    }
  });

  it.each([20, 1000, 20_000])(
    'within 0.3 s when half of the output stage gives way at %d Hz',
    (nominal_Hz) => {
      const { trip, frame } = watchPlay(CLIMB, {
        schedule: [level(tone(nominal_Hz), 30)],
        seconds: 1,
        // Less its mean, as an AC-coupled input sees it: DC would be told first.
        unit: from((voltage_V) => Math.max(0, voltage_V) - 30 / Math.PI),
      });
      expect(trip).toMatchObject({ kind: 'thdn-runaway', channel: 2, limit: 30 });
      // Half-wave of amplitude A: rms of its AC A sqrt(1/4 - 1/pi^2), its fundamental A/2 peak.
      const share = Math.sqrt(1 - 1 / 8 / (1 / 4 - 1 / Math.PI ** 2));
      // The first of the four windows may lie partly before the fault.
      expect(trip!.measured).toBeGreaterThan(30);
      expect(trip!.measured).toBeLessThan(100 * share + 0.1);
      expect(trip!.text).toMatch(
        /^c, channel 2: THD\+N rose to 3\d\.\d % at a constant level, above the limit of /,
      );
      within(frame, 0.3 + BLOCK / RATE);
    },
  );

  it('when a raised level gives nothing, by the gain of the last reading', () => {
    const of = tone(1000);
    const step = stepOf(CLIMB);
    const watch = new TripWatch(tripLimits(step, stand, SINE_CREST), stand, step);
    const block = (peak_V: number) => ({
      start: 0,
      channels: renderTone([{ ...level(of, peak_V), at: -RAMP }], 2, 0, 2 * BLOCK),
    });
    const playing = (peak_V: number) => ({
      stimulus: steady(of),
      peaks: [peak_V / FULL_V, peak_V / FULL_V],
      steady: true,
    });
    expect(watch.look(block(10), playing(10))).toBeNull();
    watch.learn(new Map([1, 2].map((channel) => [channel, FULL_V / Math.SQRT2])));
    expect(watch.look(block(20), playing(20))).toBeNull();
    expect([1, 2].map(() => watch.look(block(0), playing(20))?.kind ?? null)).toContain('output-lost');
  });

  it('within 0.2 s at a new frequency, when the output was lost in the silence before it', () => {
    const step = stepOf(CLIMB);
    const watch = new TripWatch(tripLimits(step, stand, SINE_CREST), stand, step);
    const block = (of: CoherentTone, peak_V: number) => ({
      start: 0,
      channels: renderTone([{ ...level(of, peak_V), at: -RAMP }], 2, 0, BLOCK),
    });
    const at = (of: CoherentTone) => ({ stimulus: steady(of), peaks: [0.1, 0.1], steady: true });
    const [before, after] = [tone(1000), tone(200)];
    expect(watch.look(block(before, 10), at(before))).toBeNull();
    watch.learn(new Map([1, 2].map((channel) => [channel, 10 / Math.SQRT2 / 0.1])));
    // A unit that gives an eighth there rolls off; one that gives a twelfth is taken for lost.
    for (let n = 0; n < 20; n += 1) expect(watch.look(block(after, 10 / 8), at(after))).toBeNull();
    let [trip, frames] = [null as Trip | null, 0];
    for (const next = tone(500); trip === null && frames < 0.2 * RATE; frames += BLOCK)
      trip = watch.look(block(next, 10 / 12), at(next));
    expect(trip).toMatchObject({ kind: 'output-lost', channel: 1 });
  });

  it('within 0.2 s at a new step, when the output was lost before it and an earlier step has shown its gain', () => {
    const step = stepOf(CLIMB);
    const known = new KnownGains();
    const gain = FULL_V / Math.SQRT2;
    for (const channel of [1, 2])
      known.learn({ channel, frequency_Hz: tone(1000).frequency_Hz, peak: 0.01, gain, clean: true });
    const watch = new TripWatch(tripLimits(step, stand, SINE_CREST), stand, step, known);
    const schedule = [level(tone(1000), 1, -RAMP)];
    const noise = (at: number) => 1e-5 * Math.sin(12.9898 * at ** 1.0001);
    let [trip, frames] = [null as Trip | null, 0];
    for (; trip === null && frames < 0.2 * RATE; frames += BLOCK) {
      const channels = [0, 1].map(() => Float64Array.from({ length: BLOCK }, (_, n) => noise(frames + n)));
      trip = watch.look(
        { start: frames, channels },
        { stimulus: steady(schedule[0]!.tone), peaks: [0.01, 0.01], steady: true },
      );
    }
    expect(trip).toMatchObject({ kind: 'output-lost', channel: 1 });
  });

  it('within 0.1 s of a gain that jumps up by more than 12 dB, far below what the step allows', () => {
    const schedule = [level(tone(1000), 1)];
    const jumped = (times: number) => (voltage_V: number, frame: number) =>
      voltage_V * (frame < 0.5 * RATE ? 1 : times);
    expect(watchPlay(CLIMB, { schedule, seconds: 1, unit: jumped(3.9) }).trip).toBeNull();
    const { trip, frame } = watchPlay(CLIMB, { schedule, seconds: 1, unit: jumped(10) });
    expect(trip).toMatchObject({ kind: 'output-risen', channel: 1 });
    expect(frame / RATE).toBeLessThan(0.6);
  });

  it('not when a mute opens while a level stands, from noise to all of the tone', () => {
    const schedule = [level(tone(1000), 20)];
    const opening = (voltage_V: number, frame: number) =>
      (frame < 0.5 * RATE ? 1e-4 : 1) * voltage_V + 0.01 * Math.sin(12.9898 * frame ** 1.0001);
    expect(watchPlay(CLIMB, { schedule, seconds: 1, unit: opening }).trip).toBeNull();
  });

  it('not when a unit wakes up from a clean leak, neither while a level stands nor at the next', () => {
    const schedule = [level(tone(1000), 20), level(tone(1000), 40, RATE)];
    const waking = (voltage_V: number, frame: number) => (frame < 0.5 * RATE ? 0.01 : 1) * voltage_V;
    expect(watchPlay(CLIMB, { schedule, seconds: 2, unit: waking }).trip).toBeNull();
    const later = (voltage_V: number, frame: number) => (frame < RATE ? 0.01 : 1) * voltage_V;
    expect(watchPlay(CLIMB, { schedule, seconds: 2, unit: later }).trip).toBeNull();
  });

  it('not when the noise is a thousand times what a weak tone is known to give', () => {
    const step = stepOf(CLIMB);
    const known = new KnownGains();
    for (const channel of [1, 2])
      known.learn({ channel, frequency_Hz: tone(1000).frequency_Hz, peak: 0.1, gain: 70, clean: true });
    const watch = new TripWatch(tripLimits(step, stand, SINE_CREST), stand, step, known);
    const random = seededRandom(3);
    for (let at = 0; at < RATE; at += BLOCK) {
      const channels = [0, 1].map(() => Float64Array.from({ length: BLOCK }, () => 0.02 * (random() - 0.5)));
      const playing = { stimulus: steady(tone(1000)), peaks: [1e-7, 1e-7], steady: true };
      expect(watch.look({ start: at, channels }, playing)).toBeNull();
    }
  });

  it('not when an offset fades that a loud level left behind, while a faint tone goes on', () => {
    const schedule = [level(tone(1000), 0.001)];
    // 70 mV behind a coupling of 50 ms, a hundred times what the tone gives.
    const settling = (voltage_V: number, frame: number) =>
      voltage_V + 0.07 * Math.exp(-frame / (0.05 * RATE));
    expect(watchPlay(CLIMB, { schedule, seconds: 1, unit: settling }).trip).toBeNull();
    const lost = (voltage_V: number, frame: number) =>
      (frame < 0.5 * RATE ? voltage_V : 0) + 0.07 * Math.exp(-frame / (0.05 * RATE));
    expect(watchPlay(CLIMB, { schedule, seconds: 1, unit: lost }).trip).toMatchObject({
      kind: 'output-lost',
    });
  });

  it('on a channel that is kept silent: on DC, but not when its offset dies away', () => {
    const of = tone(1000);
    const schedule = [{ ...level(of, 20), peaks: [20 / FULL_V, 0] }];
    // 12 mV of offset behind a coupling of 50 ms, as it dies away at the tap.
    const settling = (voltage_V: number, frame: number, channel: number) =>
      channel === 1 ? 0.012 * Math.exp(-frame / (0.05 * RATE)) : voltage_V;
    expect(watchPlay(CLIMB, { schedule, seconds: 1, unit: settling }).trip).toBeNull();
    const failing = (voltage_V: number, _: number, channel: number) => (channel === 1 ? 20 : voltage_V);
    expect(watchPlay(CLIMB, { schedule, seconds: 1, unit: failing }).trip).toMatchObject({
      kind: 'dc',
      channel: 2,
    });
  });
});
