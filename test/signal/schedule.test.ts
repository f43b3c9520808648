import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { type Change, levelAt, renderSchedule, withChange } from '../../src/signal/schedule.js';
import { StimulusError, steady } from '../../src/signal/stimulus.js';

const tone = coherentTone({ nominal_Hz: 1_000, rate_Hz: 48_000 });
const other = coherentTone({ nominal_Hz: 2_000, rate_Hz: 48_000 });
const change = (at: number, peaks: number[], rampFrames = 480): Change => ({
  at,
  stimulus: steady(tone),
  peaks,
  rampFrames,
});

describe('renderSchedule', () => {
  it('is sin(2 pi J n / N) once the ramp is over', () => {
    const [samples] = renderSchedule([change(0, [0.5])], 1, 100_000, 1_000);
    samples!.forEach((sample, i) => {
      const n = (100_000 + i) % tone.frames;
      expect(sample).toBeCloseTo(
        0.5 * Math.sin((2 * Math.PI * ((n * tone.cycles) % tone.frames)) / tone.frames),
        14,
      );
    });
  });

  it('starts in silence and never leaves the raised-cosine envelope', () => {
    const [samples] = renderSchedule([change(100, [0.8], 480)], 1, 0, 700);
    expect(samples!.slice(0, 101)).toEqual(new Float64Array(101));
    samples!.forEach((sample, i) => {
      const envelope = 0.8 * (0.5 - 0.5 * Math.cos((Math.PI * Math.min(Math.max(i - 100, 0), 480)) / 480));
      expect(Math.abs(sample)).toBeLessThanOrEqual(envelope + 1e-12);
    });
  });

  it('drives only the channels asked for', () => {
    const out = renderSchedule([change(0, [0, 0.25, 0])], 3, 0, 4_096);
    expect(out.map((samples) => samples.some((sample) => sample !== 0))).toEqual([false, true, false]);
  });

  it('gives the same samples whatever the stretches it is asked in', () => {
    const schedule = [change(10, [0.1]), change(200, [0.7], 1_000), change(900, [0.2]), change(3_000, [0])];
    const whole = renderSchedule(schedule, 1, 0, 4_000)[0]!;
    fc.assert(
      fc.property(fc.nat(3_900), fc.integer({ min: 1, max: 100 }), (start, frames) => {
        expect(renderSchedule(schedule, 1, start, frames)[0]).toEqual(whole.slice(start, start + frames));
      }),
    );
  });

  it('moves the level without a jump, even when a change interrupts a ramp', () => {
    const schedule = [change(0, [0.9], 480), change(240, [0.1], 480), change(300, [0], 480)];
    let before = 0;
    for (let frame = 0; frame < 1_000; frame += 1) {
      const level = levelAt(schedule, 0, frame);
      // The steepest raised cosine moves by pi/2 * difference / ramp a frame.
      expect(Math.abs(level - before)).toBeLessThanOrEqual((Math.PI / 2) * (0.9 / 480) + 1e-12);
      before = level;
    }
    expect(before).toBe(0);
  });
});

describe('withChange', () => {
  it('refuses a frequency change while a channel sounds', () => {
    const schedule = withChange([], change(0, [0.5]));
    expect(() => withChange(schedule, { ...change(1_000, [0.5]), stimulus: steady(other) })).toThrow(
      StimulusError,
    );
  });

  it('lets the frequency change in silence, and plays the fall of the old tone to its end', () => {
    const silent = withChange(withChange([], change(0, [0.5])), change(1_000, [0]));
    const schedule = withChange(silent, { ...change(1_480, [0.5]), stimulus: steady(other) });
    const old = renderSchedule(silent, 1, 0, 1_480)[0];
    expect(renderSchedule(schedule, 1, 0, 1_480)[0]).toEqual(old);
    expect(renderSchedule(schedule, 1, 1_480, 4_000)[0]!.some((sample) => Math.abs(sample) > 0.49)).toBe(
      true,
    );
  });

  it('refuses a change that lies before the last one', () => {
    expect(() => withChange([change(500, [0.1])], change(400, [0.2]))).toThrow(StimulusError);
  });
});
