import { describe, expect, it } from 'vitest';
import { type PlayedTone, quickReadings, quickReadingsAgree, settlingOf } from '../../src/measure/settled.js';
import { gaussian, ONE_KILOHERTZ, periodic, RATE_HZ, relativeError, scaled, sum } from './signals.js';

const HALF = ONE_KILOHERTZ.frames / 2;
const TONE: PlayedTone = { ...ONE_KILOHERTZ, rate_Hz: RATE_HZ };
const agree = (samples: Float64Array, tone = TONE) =>
  settlingOf(samples.subarray(0, tone.frames / 2), samples.subarray(tone.frames / 2), tone).settled;
const sine = periodic(ONE_KILOHERTZ, (x) => 0.5 * Math.sin(x) + 0.01 * Math.sin(2 * x));
const scaledOverTime = (level: (t: number) => number) => sine.map((x, n) => x * level(n / RATE_HZ));

describe('settlingOf', () => {
  it('holds for a steady tone, clean or noisy, at any frequency', () => {
    for (const noise of [0, 1e-6, 1e-3, 0.1]) {
      for (let seed = 1; seed <= 20; seed++) {
        expect(agree(sum(sine, scaled(gaussian(ONE_KILOHERTZ.frames, seed), noise)))).toBe(true);
      }
    }
    for (const cycles of [27, 301, 9011, 27_307]) {
      const tone = { cycles, frames: 65_536, rate_Hz: RATE_HZ };
      expect(
        agree(
          periodic(tone, (x) => Math.max(-0.8, Math.min(1, Math.sin(x)))),
          tone,
        ),
      ).toBe(true);
    }
  });

  it('holds with 1 % ripple on the level', () => {
    expect(agree(scaledOverTime((t) => 1 + 0.01 * Math.sin(2 * Math.PI * 100 * t)))).toBe(true);
  });

  it('fails while the level still moves by a few thousandths', () => {
    expect(agree(scaledOverTime((t) => 1 - 0.004 * t))).toBe(false);
    expect(agree(scaledOverTime((t) => 1 + 0.02 * Math.exp(-t / 0.2)))).toBe(false);
  });

  it('fails while only the residue moves', () => {
    const growing = periodic(ONE_KILOHERTZ, (x) => 1e-4 * Math.sin(3 * x)).map(
      (x, n) => x * (n < HALF ? 1 : 1.2),
    );
    expect(agree(sum(periodic(ONE_KILOHERTZ, Math.sin), growing))).toBe(false);
  });

  it('holds for silence, in which nothing moves', () => {
    const silence = new Float64Array(HALF);
    expect(settlingOf(silence, silence, TONE)).toEqual({ settled: true, level: 0, residue: 0 });
  });

  it('tells by which share of their mean level and residue differ between the halves', () => {
    const half = sine.subarray(0, HALF);
    const up = settlingOf(half, scaled(half, 1.5), TONE);
    expect(up.settled).toBe(false);
    expect(up.level).toBeCloseTo(0.5 / 1.25, 9);
    expect(up.residue).toBeCloseTo(0.5 / 1.25, 6);
    expect(settlingOf(scaled(half, 1.5), half, TONE).level).toBeCloseTo(0.5 / 1.25, 9);
    expect(settlingOf(half, half, TONE)).toEqual({ settled: true, level: 0, residue: 0 });
  });
});

describe('looksAt', () => {
  it('tells the fundamental from the rest over broken cycles', () => {
    const captures = quickReadings([sine.subarray(0, HALF), scaled(sine.subarray(HALF), 2)], TONE);
    captures.forEach((capture, i) => {
      expect(relativeError(capture.fundamental_rms, (i + 1) * 0.5 * Math.SQRT1_2)).toBeLessThan(1e-10);
      expect(relativeError(capture.residue_rms, (i + 1) * 0.01 * Math.SQRT1_2)).toBeLessThan(1e-8);
    });
  });

  it('minds a creeping DC only as far as the band sees it', () => {
    const creeping = sine.map((x, n) => x + 0.01 * Math.exp(-n / 20_000));
    expect(agree(creeping)).toBe(true);
    expect(agree(sine.map((x, n) => x + 0.1 * Math.exp(-n / 500)))).toBe(false);
  });
});

describe('looksAgree', () => {
  it('allows a tenth of a percent of level and a twentieth of the residue', () => {
    const capture = { fundamental_rms: 1, residue_rms: 0.001 };
    expect(quickReadingsAgree(capture, { ...capture, fundamental_rms: 1.0009 }, 1e6)).toBe(true);
    expect(quickReadingsAgree(capture, { ...capture, fundamental_rms: 1.0011 }, 1e6)).toBe(false);
    expect(quickReadingsAgree(capture, { ...capture, residue_rms: 0.00104 }, 1e6)).toBe(true);
    expect(quickReadingsAgree(capture, { ...capture, residue_rms: 0.00107 }, 1e6)).toBe(false);
  });
});
