import { describe, expect, it } from 'vitest';
import { edgeBreaks } from '../../src/measure/edge-breaks.js';
import { clip, gaussian, ONE_KILOHERTZ } from './signals.js';

const { cycles, frames } = ONE_KILOHERTZ;
const F = cycles / frames;
const NOISE = gaussian(frames, 9);
/** Noise 80 dB below a tone of peak 1. */
const NOISE_RMS = 1e-4 * Math.SQRT1_2;

type Wave = (radians: number) => number;
const WAVES: readonly (readonly [string, Wave])[] = [
  ['a sine', Math.sin],
  ['a clipped sine', (x) => clip(1.3 * Math.sin(x))],
  ['a sine with a dead zone', (x) => Math.sign(Math.sin(x)) * Math.max(0, Math.abs(Math.sin(x)) - 0.05)],
];

/** The wave with `slip` frames lost at frame `at`; by closed form, so that a slip may be part of a frame. */
function slipped(wave: Wave, at: number, slip: number): Float64Array {
  return NOISE.map((hiss, n) => {
    const turns = (F * (n < at ? n : n + slip)) % 1;
    return wave(2 * Math.PI * turns + 0.3) + NOISE_RMS * hiss;
  });
}

describe('a break close to an end', () => {
  it.each(WAVES)('is seen in %s, and only there', (_, wave) => {
    for (const slip of [1, 2, 5, 24, 100, 960])
      for (const left of [40, 100, 300]) {
        const [late, ...more] = edgeBreaks(slipped(wave, frames - left, slip), F);
        expect(more).toEqual([]);
        expect(Math.abs(late! - (frames - left))).toBeLessThanOrEqual(left);
        const [early, ...others] = edgeBreaks(slipped(wave, left, slip), F);
        expect(others).toEqual([]);
        expect(early!).toBeLessThanOrEqual(2 * left);
      }
  });

  it('is told to the frame where it jumps far', () => {
    expect(edgeBreaks(slipped(Math.sin, frames - 60, 12), F)).toEqual([frames - 60]);
    expect(edgeBreaks(slipped(Math.sin, 60, 12), F)).toEqual([60]);
  });

  it('is seen down to a tenth of a frame', () => {
    // Over 300 frames at 80 dB the phase of a sine is known to 1e-4 / sqrt(300) rad, 6e-6; this slip is 1.3e-2 rad.
    expect(edgeBreaks(slipped(Math.sin, frames - 300, 0.1), F)).toHaveLength(1);
  });

  it('does not show where it changes nothing beyond the noise', () => {
    const flat = slipped((x) => clip(10 * Math.sin(x + 1)), frames - 4, 1);
    const untouched = slipped((x) => clip(10 * Math.sin(x + 1)), frames, 0);
    expect(Math.max(...flat.map((x, n) => Math.abs(x - untouched[n]!)))).toBeLessThan(NOISE_RMS);
    expect(edgeBreaks(flat, F)).toEqual([]);
  });
});

describe('a record without a break', () => {
  it.each(WAVES)('of %s shows none', (_, wave) => {
    expect(edgeBreaks(slipped(wave, frames, 0), F)).toEqual([]);
  });

  it('shows none without noise, nor with a level that changes or hum', () => {
    for (const other of [
      (x: number, n: number) => Math.sin(x) * (1 + (0 * n) / frames),
      (x: number, n: number) => Math.sin(x) * (1 - (0.1 * n) / frames),
      (x: number, n: number) => Math.sin(x) * (0.9 + 0.1 * Math.exp(-n / 5000)),
      (x: number, n: number) => Math.sin(x) + 0.01 * Math.sin((2 * Math.PI * 50 * n) / 48_000),
    ]) {
      const samples = Float64Array.from({ length: frames }, (_, n) => other(2 * Math.PI * ((F * n) % 1), n));
      expect(edgeBreaks(samples, F)).toEqual([]);
    }
  });

  it('shows none when it is too short to compare', () => {
    expect(edgeBreaks(new Float64Array(0), 0.02)).toEqual([]);
    expect(edgeBreaks(new Float64Array(300), 0.02)).toEqual([]);
  });
});
