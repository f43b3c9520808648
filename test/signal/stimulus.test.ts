import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { gateAt, gateOf, rampFramesOf } from '../../src/signal/envelope.js';
import { type Change, renderSchedule, withChange } from '../../src/signal/schedule.js';
import {
  type Line,
  StimulusError,
  sameStimulus,
  samplesOf,
  silentStimulus,
  steady,
  stimulus,
  twoTone,
} from '../../src/signal/stimulus.js';
import { crestFactor, largestStep } from './closed-forms.js';

const RATE = 48_000;
const tone = (nominal_Hz: number, minimumFrames = 0) =>
  coherentTone({ nominal_Hz, rate_Hz: RATE, minimumFrames });
const kilohertz = tone(1000);
const whole = (nominal_Hz: number): readonly [Line] => [{ tone: tone(nominal_Hz), share: 1 }];
const burst = (nominal_Hz: number, on_s: number, period_s: number) =>
  stimulus({ lines: whole(nominal_Hz), envelope: { kind: 'burst', on_s, period_s } });
const mean = (samples: Float64Array, of: (sample: number) => number) =>
  samples.reduce((sum, sample) => sum + of(sample), 0) / samples.length;

describe('A steady sine', () => {
  it('has the samples that it has always had, to the last bit', () => {
    const change = (at: number, nominal_Hz: number, peaks: number[]): Change => ({
      at,
      stimulus: steady(tone(nominal_Hz)),
      peaks,
      rampFrames: 960,
    });
    const schedule = [
      change(10, 1000, [0.1, 0]),
      change(500, 1000, [0.7, 0.3]),
      change(4000, 1000, [0, 0]),
      change(4960, 20, [0.5, 1]),
    ];
    const hash = createHash('sha256');
    for (const channel of renderSchedule(schedule, 2, 0, 60_000)) hash.update(new Uint8Array(channel.buffer));
    // Of the samples that version 0.1 played.
    expect(hash.digest('hex')).toBe('96a2d4386463bced4b9e3abdbec01376a229d289a314c9782ef4de6fdc351f7b');
  });

  it('has a crest factor of the root of two and half its peak squared as mean square', () => {
    expect(crestFactor(steady(kilohertz))).toBe(Math.SQRT2);
    expect(mean(samplesOf(steady(kilohertz), 0, kilohertz.frames), (sample) => sample * sample)).toBeCloseTo(
      0.5,
      12,
    );
  });
});

describe('Two lines', () => {
  const both = twoTone(tone(60), tone(7000, tone(60).frames), [4, 1]);

  it('share the peak in their ratio, and each has its own frequency', () => {
    const samples = samplesOf(both, 0, both.frames);
    for (const [i, share] of [0.8, 0.2].entries()) {
      const { cycles, frames } = both.lines[i]!.tone;
      const inPhase = samples.reduce(
        (sum, sample, n) => sum + sample * Math.sin((2 * Math.PI * ((cycles * n) % frames)) / frames),
        0,
      );
      expect((2 * inPhase) / frames).toBeCloseTo(share, 12);
    }
    expect(samples.every((sample) => Math.abs(sample) <= 1)).toBe(true);
  });

  it('have the mean square and the crest factor of the closed form', () => {
    // (0.8^2 + 0.2^2) / 2 = 0.34; 1 / sqrt(0.34) = 1.714986.
    const samples = samplesOf(both, 0, both.frames);
    expect(mean(samples, (sample) => sample * sample)).toBeCloseTo(0.34, 12);
    expect(crestFactor(both)).toBeCloseTo(1.714_986, 6);
  });

  it('are refused when they do not belong to one record, are one, or share more than there is', () => {
    const [one, other] = [kilohertz, tone(7000, 2 * kilohertz.frames)];
    const lines = (...of: Line[]) => stimulus({ lines: of as [Line, ...Line[]] });
    expect(() => twoTone(one, other, [1, 1])).toThrow(StimulusError);
    expect(() => twoTone(one, one, [1, 1])).toThrow(StimulusError);
    expect(() => lines({ tone: one, share: 0.6 })).toThrow(StimulusError);
    expect(() => lines({ tone: one, share: 1.5 }, { tone: tone(7000), share: -0.5 })).toThrow(StimulusError);
  });
});

describe('A burst', () => {
  it('sounds for its time in each period and is silent between, from frame 0 on', () => {
    const of = burst(1000, 0.02, 0.5);
    const samples = samplesOf(of, 0, RATE);
    const sounding = (from_s: number, to_s: number) =>
      samples.slice(Math.round(from_s * RATE), Math.round(to_s * RATE)).some((sample) => sample !== 0);
    expect([sounding(0, 0.02), sounding(0.02, 0.5), sounding(0.5, 0.52), sounding(0.52, 1)]).toEqual([
      true,
      false,
      true,
      false,
    ]);
    // Eight tenths of it stand at full level.
    const standing = samples.slice(0.002 * RATE, 0.018 * RATE);
    expect(standing).toEqual(samplesOf(steady(kilohertz), 0.002 * RATE, standing.length));
  });

  it('of 10 ms rises in a tenth of its time, one of half a second in the usual 20 ms', () => {
    expect(rampFramesOf({ kind: 'burst', on_s: 0.01, period_s: 0.5 }, RATE)).toBe(48);
    expect(rampFramesOf({ kind: 'burst', on_s: 0.5, period_s: 2 }, RATE)).toBe(960);
    expect(rampFramesOf({ kind: 'steady' }, RATE)).toBe(960);
  });

  it('has the mean square of the closed form', () => {
    const gate = gateOf({ kind: 'burst', on_s: 0.02, period_s: 0.1 }, RATE)!;
    const levels = Float64Array.from({ length: gate.period }, (_, n) => gateAt(gate, n));
    // (960 - 1.25 * 96) / 4800 = 0.175.
    expect(mean(levels, (level) => level * level)).toBeCloseTo(0.175, 12);
    // Crest: of what sounds.
    expect(crestFactor(burst(1000, 0.02, 0.1))).toBe(Math.SQRT2);
  });

  it('is refused when it leaves no whole cycle between its edges, or no gap', () => {
    expect(() => burst(100, 0.01, 0.5)).toThrow(StimulusError);
    expect(() => burst(126, 0.01, 0.5)).not.toThrow();
    expect(() => burst(1000, 0.5, 0.5)).toThrow(StimulusError);
  });

  it('does not take a ramp that is longer than its edges', () => {
    const change = (rampFrames: number): Change => ({
      at: 0,
      stimulus: burst(1000, 0.01, 0.5),
      peaks: [1],
      rampFrames,
    });
    expect(() => withChange([], change(48))).not.toThrow();
    expect(() => withChange([], change(49))).toThrow(StimulusError);
  });
});

/** Anything that may play. */
const anything = fc
  .record({
    nominals_Hz: fc.uniqueArray(fc.integer({ min: 400, max: 20_000 }), { minLength: 1, maxLength: 2 }),
    share: fc.double({ min: 0.1, max: 0.9, noNaN: true }),
    on_ms: fc.option(fc.integer({ min: 10, max: 200 })),
    gap_ms: fc.integer({ min: 1, max: 300 }),
  })
  .map(({ nominals_Hz: [one, other], share, on_ms, gap_ms }) =>
    stimulus({
      lines:
        other === undefined || tone(one!).cycles === tone(other).cycles
          ? whole(one!)
          : [
              { tone: tone(one!), share },
              { tone: tone(other), share: 1 - share },
            ],
      envelope:
        on_ms === null
          ? { kind: 'steady' }
          : { kind: 'burst', on_s: on_ms / 1000, period_s: (on_ms + gap_ms) / 1000 },
    }),
  );

describe('Any stimulus', () => {
  it('never clicks: no step between two samples is larger than its closed bound, also while its level changes', () => {
    fc.assert(
      fc.property(anything, fc.nat(20_000), (of, at) => {
        const rampFrames = rampFramesOf(of.envelope, RATE);
        const schedule = [
          { at: 0, stimulus: of, peaks: [0.4], rampFrames },
          { at: rampFrames + at, stimulus: of, peaks: [1], rampFrames },
          { at: 30_000, stimulus: of, peaks: [0], rampFrames },
        ];
        const samples = renderSchedule(schedule, 1, 0, 32_000)[0]!;
        // A raised cosine of E frames over all of the level adds sin(pi / 2 E) at most.
        const bound = largestStep(of) + Math.sin(Math.PI / (2 * rampFrames)) + 1e-12;
        for (let n = 1; n < samples.length; n += 1)
          if (Math.abs(samples[n]! - samples[n - 1]!) > bound) return false;
        return true;
      }),
      { seed: 11, numRuns: 60 },
    );
  });

  it('comes near that bound, so that the bound is no idle one', () => {
    for (const of of [steady(kilohertz), burst(1000, 0.01, 0.05), twoTone(tone(5000), tone(7000), [1, 1])]) {
      const samples = samplesOf(of, 0, of.frames);
      const largest = samples.reduce(
        (most, sample, n) => Math.max(most, n === 0 ? 0 : Math.abs(sample - samples[n - 1]!)),
        0,
      );
      expect(largest / largestStep(of)).toBeGreaterThan(0.75);
    }
  });

  it('has the same samples whatever the stretches it is asked in', () => {
    fc.assert(
      fc.property(anything, fc.nat(100_000), fc.integer({ min: 1, max: 3000 }), (of, start, frames) => {
        const all = samplesOf(of, start, 3000);
        expect(samplesOf(of, start, frames)).toEqual(all.slice(0, frames));
        const half = Math.floor(frames / 2);
        expect(samplesOf(of, start + half, frames - half)).toEqual(all.slice(half, frames));
      }),
      { seed: 12, numRuns: 60 },
    );
  });

  it('is the same as another that gives the same samples, and not as any other', () => {
    expect(sameStimulus(steady(kilohertz), steady(tone(1000)))).toBe(true);
    expect(sameStimulus(burst(1000, 0.02, 0.5), burst(1000, 0.02, 0.5))).toBe(true);
    const others = [
      steady(tone(2000)),
      burst(1000, 0.02, 0.5),
      burst(1000, 0.03, 0.5),
      twoTone(kilohertz, tone(2000), [1, 1]),
      twoTone(kilohertz, tone(2000), [4, 1]),
      silentStimulus(kilohertz.frames, RATE),
      steady(tone(1000, 2 * kilohertz.frames)),
      stimulus({ lines: whole(1000), duration_s: 2 }),
    ];
    for (const [i, one] of others.entries())
      for (const other of [steady(kilohertz), ...others.slice(0, i)])
        expect(sameStimulus(one, other)).toBe(false);
  });

  it('is nothing at all when it is silence', () => {
    const nothing = silentStimulus(1024, RATE);
    expect(samplesOf(nothing, 5, 100)).toEqual(new Float64Array(100));
  });
});
