import { describe, expect, it } from 'vitest';
import { envelopeOf } from '../../../src/measure/cause/envelope.js';
import { foldCycle } from '../../../src/measure/cause/fold.js';
import { rippleOf } from '../../../src/measure/cause/ripple.js';
import { gaussian, ONE_KILOHERTZ, periodic, RATE_HZ, scaled, sine, sum } from '../signals.js';

const TONE = { ...ONE_KILOHERTZ, rate_Hz: RATE_HZ };
const BASS = { cycles: 27, frames: 65_536, rate_Hz: RATE_HZ };

/** A sine of 1.15 stopped at 1 by rails that move by `depth` peak to peak at `beat_Hz`. */
function rippled(tone: typeof BASS, beat_Hz: number, depth: number): Float64Array {
  return periodic(tone, (x) => 1.15 * Math.sin(x)).map((v, n) => {
    const rail = 1 + (depth / 2) * Math.cos(2 * Math.PI * beat_Hz * (n / RATE_HZ) + 0.4);
    return Math.max(-rail, Math.min(rail, v));
  });
}

describe('tops that move with the mains', () => {
  it.each([
    ['1 kHz', TONE, 100, 50],
    ['1 kHz', TONE, 120, 60],
    ['20 Hz', BASS, 100, 50],
    ['20 Hz', BASS, 120, 60],
  ])('of %s show how far and with which mains', (_, tone, beat_Hz, mains_Hz) => {
    const ripple = rippleOf(foldCycle(rippled(tone, beat_Hz, 0.04), tone), RATE_HZ);
    expect(ripple.mains_Hz).toBe(mains_Hz);
    expect(ripple.halfWave).toBe(false);
    // The corners of a clipped top move less than its middle.
    expect(ripple.depth).toBeGreaterThan(0.028);
    expect(ripple.depth).toBeLessThan(0.042);
    expect(ripple.share).toBeGreaterThan(0.7);
  });

  it('once a cycle are those of half a rectifier', () => {
    expect(rippleOf(foldCycle(rippled(TONE, 50, 0.04), TONE), RATE_HZ)).toMatchObject({
      mains_Hz: 50,
      halfWave: true,
    });
  });

  it('are not seen where hum is merely added, nor in noise, nor in an offset that creeps', () => {
    const steady = rippled(TONE, 100, 0);
    const hum = sine(TONE.frames, 100 / RATE_HZ, 0.01);
    const noise = scaled(gaussian(TONE.frames, 5), 0.01);
    const creep = steady.map((_, n) => 0.05 * Math.exp(-n / (0.16 * RATE_HZ)));
    expect(rippleOf(foldCycle(sum(steady, hum), TONE), RATE_HZ).depth).toBeLessThan(5e-4);
    expect(rippleOf(foldCycle(sum(steady, noise), TONE), RATE_HZ).share).toBeLessThan(0.01);
    const bass = sum(rippled(BASS, 100, 0), creep);
    expect(rippleOf(foldCycle(bass, BASS), RATE_HZ).depth).toBeLessThan(2e-3);
  });
});

describe('an envelope', () => {
  const f = TONE.cycles / TONE.frames;

  it('shows a level that falls by 2 % over the record', () => {
    const falling = periodic(TONE, Math.sin).map((v, n) => v * (1 - (0.02 * n) / TONE.frames));
    const { trend, vanishes_s } = envelopeOf(falling, f, RATE_HZ);
    expect(trend).toBeCloseTo(-0.02 / 0.99, 4);
    expect(vanishes_s).toBeNull();
  });

  it('shows when the output vanishes, to 10 ms', () => {
    const cut = periodic(TONE, Math.sin).map((v, n) => (n < 0.5 * RATE_HZ ? v : 0));
    const { vanishes_s, least } = envelopeOf(cut, f, RATE_HZ);
    expect(Math.abs(vanishes_s! - 0.5)).toBeLessThan(0.0101);
    expect(least).toBe(0);
  });
});
