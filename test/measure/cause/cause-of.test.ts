import { describe, expect, it } from 'vitest';
import { causeOf } from '../../../src/measure/cause/cause-of.js';
import { evidenceOf, type PointEvidence } from '../../../src/measure/cause/evidence.js';
import type { CauseCode } from '../../../src/measure/cause/question.js';
import { NonFiniteSamples } from '../../../src/measure/measure-errors.js';
import { gaussian, periodic, scaled, sum } from '../signals.js';

const RATE_HZ = 192_000;
/** 1 kHz and 10 kHz at 192 kHz. */
const LOW_TONE = { cycles: 683, frames: 131_072, rate_Hz: RATE_HZ };
const HIGH_TONE = { cycles: 6827, frames: 131_072, rate_Hz: RATE_HZ };

interface Taken {
  readonly tone?: typeof LOW_TONE;
  readonly drive?: number;
  readonly load_ohm?: number;
  /** Load volts from the volts that an ideal unit would give. */
  readonly unit?: (volts: number, n: number) => number;
}

/** Evidence of a unit of gain 20 with a trace of noise, driven by `drive` volts peak. */
function take({ tone = LOW_TONE, drive = 2.1, load_ohm = 8, unit = (v) => v }: Taken): PointEvidence {
  const wave = periodic(tone, (x) => 20 * drive * Math.sin(x)).map(unit);
  const samples = sum(wave, scaled(gaussian(tone.frames, 7), 1e-4)).map((v) => v / 200);
  return evidenceOf(samples, tone, { voltsPerUnit: 200, load_ohm, drive });
}

const limit = (most: number) => (v: number) => Math.max(-most, Math.min(most, v));
const said = (question: Parameters<typeof causeOf>[0]) => causeOf(question).map(({ cause }) => cause);
const confidences = (question: Parameters<typeof causeOf>[0]): Partial<Record<CauseCode, number>> =>
  Object.fromEntries(causeOf(question).map(({ cause, confidence }) => [cause, confidence]));

describe('flat tops', () => {
  const failing = take({ load_ohm: 4, unit: limit(40) });
  const low = take({ load_ohm: 4, drive: 0.2 });

  it('at the same volts into both loads are those of the rails', () => {
    const otherLoad = take({ unit: limit(40.4) });
    expect(confidences({ failing, low, otherLoad })['rail-clipping']).toBe(0.95);
  });

  it('at the same amperes into both loads are those of a current limit', () => {
    const otherLoad = take({ drive: 4.2, unit: limit(80) });
    const [first] = causeOf({ failing, low, otherLoad });
    expect(first).toMatchObject({ cause: 'current-limit', confidence: 0.95 });
    expect(first!.evidence.join(' ')).toMatch(
      /40\.0 V \(10 A\) into 4 ohm .*80\.0 V \(10 A\) into 8 ohm: the same current/,
    );
  });

  it('that would take 4 ohm inside are a current limit too: 30 V into 4 ohm, 40 V into 8 ohm', () => {
    const weak = take({ load_ohm: 4, drive: 1.6, unit: limit(30) });
    const otherLoad = take({ unit: limit(40) });
    const [first] = causeOf({ failing: weak, low, otherLoad });
    expect(first).toMatchObject({ cause: 'current-limit', confidence: 0.95 });
    expect(first!.evidence.join(' ')).toMatch(/as with 4(\.0\d)? ohm inside|as with 3\.9\d ohm inside/);
  });

  it('at fewer volts and fewer amperes into the heavier load are those of a limit that folds back, not of rails', () => {
    // 2.93 V (0.73 A) into 4 ohm where 8 ohm had 40 V (5 A): no rails stand that low.
    const folded = take({ load_ohm: 4, drive: 0.16, unit: limit(2.93) });
    const otherLoad = take({ unit: limit(40) });
    const shares = confidences({ failing: folded, low, otherLoad });
    expect(shares['rail-clipping'] ?? 0).toBe(0);
    const [first] = causeOf({ failing: folded, low, otherLoad });
    expect(first).toMatchObject({ cause: 'current-limit' });
    expect(first!.evidence.join(' ')).toMatch(/fewer volts and less current than into the other load/);
  });

  it('far below those into the heavier load are not held by rails: 2.93 V (366 mA) into 8 ohm, 40 V into 4 ohm', () => {
    const low8 = take({ drive: 0.016 });
    const small = take({ drive: 0.16, unit: limit(2.93) });
    const otherLoad = take({ load_ohm: 4, unit: limit(40) });
    const shares = confidences({ failing: small, low: low8, otherLoad });
    expect(shares['rail-clipping'] ?? 0).toBe(0);
    expect(causeOf({ failing: small, low: low8, otherLoad })[0]!.cause).toBe('not-clear');
  });

  it('into one load alone may be either, rails being the more common', () => {
    const shares = confidences({ failing, low });
    expect(shares['rail-clipping']).toBeCloseTo(0.75, 2);
    expect(shares['current-limit']).toBeCloseTo(0.25, 2);
  });

  it('that move with the mains are those of a supply that sags', () => {
    const sagging = take({
      unit: (v, n) => limit(40 - 0.8 * Math.cos((2 * Math.PI * 120 * n) / RATE_HZ))(v),
    });
    const [first] = causeOf({ failing: sagging, low });
    expect(first).toMatchObject({ cause: 'supply-sag', confidence: 0.95 });
    // Ripple of 4 % peak to peak, 2 % peak: sidebands of 1 % of the tops, -40 dB; a little less, since the
    // corners move less.
    expect(first!.evidence.join(' ')).toMatch(/at 120 Hz, twice a mains cycle.*near -4[0-2] dB/);
  });
});

describe('an output filter', () => {
  const reference = take({ unit: limit(40) });
  const referenceLow = take({ drive: 0.21 });
  const filtered = (gain: number) => ({
    reference,
    referenceLow,
    failing: take({ tone: HIGH_TONE, unit: (v) => gain * limit(40)(v) }),
    low: take({ tone: HIGH_TONE, drive: 0.21, unit: (v) => gain * v }),
  });

  it('is said where the ceiling falls by what the small-signal response falls by', () => {
    const [first] = causeOf(filtered(0.8));
    expect(first).toMatchObject({ cause: 'output-filter', confidence: 0.95 });
    // 20 log10(0.8) = -1.938 dB.
    expect(first!.evidence.join(' ')).toMatch(
      /fallen by 1\.94 dB from 1 kHz the maximum power lies 1\.94 dB/,
    );
  });

  it('is not said of a response that falls at the input, which costs no power', () => {
    const atInput = { ...filtered(0.8), failing: take({ tone: HIGH_TONE, unit: limit(40) }) };
    expect(said(atInput)).not.toContain('output-filter');
  });

  it('shares with a limit in the proportion of the decibels', () => {
    const failing = take({ tone: HIGH_TONE, drive: 1.06, unit: (v) => 0.8 * limit(20)(v) });
    const { 'output-filter': share } = confidences({ ...filtered(0.8), failing });
    // 1.938 dB of 20 log10(40 / 16) = 7.959 dB, the drives being as far above the limits.
    expect(share).toBeGreaterThan(0.22);
    expect(share).toBeLessThan(0.27);
  });
});

describe('a hold', () => {
  const failing = take({ drive: 1 });
  const along = (level: (at_s: number) => number) =>
    [0.1, 1, 2, 4, 30, 60, 120, 180].map((at_s) => ({ at_s, fundamental_V: level(at_s) }));

  it('that drifts for minutes is warming', () => {
    const overTime = along((t) => 14 * (1 - 0.02 * (1 - Math.exp(-t / 100))));
    expect(causeOf({ failing, overTime })[0]).toMatchObject({ cause: 'heat', confidence: 0.95 });
  });

  it('that falls at once and then stands is a supply that sags', () => {
    const overTime = along((t) => 14 * (1 - 0.04 * (1 - Math.exp(-t / 0.4))));
    expect(causeOf({ failing, overTime })[0]).toMatchObject({ cause: 'supply-sag', confidence: 0.95 });
  });

  it('whose output goes away has been cut off', () => {
    const overTime = along((t) => (t < 50 ? 14 : 1e-4));
    const [first] = causeOf({ failing, overTime });
    expect(first).toMatchObject({ cause: 'protection', confidence: 0.95 });
    expect(first!.evidence.join(' ')).toContain('60.0 s into the hold');
  });

  it('that stands has no cause', () => {
    expect(said({ failing, overTime: along(() => 14) })).toEqual(['not-clear']);
  });
});

describe('what a capture shows', () => {
  it('of a silent output is protection when the drive asks for more, and harmless otherwise', () => {
    const silent = take({ unit: () => 0 });
    expect(said({ failing: silent, low: take({ drive: 0.2 }) })).toEqual(['protection']);
    expect(said({ failing: silent })).toEqual(['not-clear']);
  });

  it('of a healthy unit is nothing', () => {
    expect(said({ failing: take({}), low: take({ drive: 0.2 }) })).toEqual(['not-clear']);
  });

  it('is not guessed when the third harmonic lies outside the band', () => {
    const tone = { cycles: 27_307, frames: 131_072, rate_Hz: RATE_HZ };
    const [only, ...more] = causeOf({ failing: take({ tone, unit: limit(40) }) });
    expect(only!.cause).toBe('not-clear');
    expect(only!.evidence.join(' ')).toContain('third harmonic lies outside');
    expect(more).toEqual([]);
  });

  it('is refused when a sample is no number', () => {
    const samples = new Float64Array(4096).fill(Number.NaN);
    const tone = { cycles: 101, frames: 4096, rate_Hz: RATE_HZ };
    expect(() => evidenceOf(samples, tone, { voltsPerUnit: 1, load_ohm: 8, drive: 1 })).toThrow(
      NonFiniteSamples,
    );
  });
});
