import { describe, expect, it } from 'vitest';
import { CLIPPER_DELAY, Clipper } from '../../../src/bench/simulated/clipper.js';

const LIMITS = { high: 1, low: -1, highStep: 0, lowStep: 0, samples: 0 };
const PAD = 64;

/** Runs a wave through a clipper and takes the delay out. */
function clipped(wave: Float64Array, softness = 0, limits = LIMITS, piece = wave.length): Float64Array {
  const padded = new Float64Array(CLIPPER_DELAY + PAD + wave.length + PAD);
  padded.set(wave, CLIPPER_DELAY + PAD);
  const clipper = new Clipper(softness);
  for (let from = CLIPPER_DELAY; from < padded.length; from += piece) {
    clipper.process(padded, from, Math.min(from + piece, padded.length), limits);
  }
  return padded.slice(CLIPPER_DELAY + PAD, CLIPPER_DELAY + PAD + wave.length);
}

const sine = (amplitude: number, period: number, length = 8 * period) =>
  Float64Array.from({ length }, (_, i) => amplitude * Math.sin((2 * Math.PI * i) / period));

describe('the clipper', () => {
  it('leaves a wave inside its limits untouched, to the bit', () => {
    const wave = sine(0.97, 37);
    expect(clipped(wave)).toEqual(wave);
  });

  it('stops a slow wave at its limits', () => {
    const out = clipped(sine(2, 4000));
    expect(out[1000]).toBeCloseTo(1, 9);
    expect(out[3000]).toBeCloseTo(-1, 9);
    expect(out[200]).toBeCloseTo(2 * Math.sin((2 * Math.PI * 200) / 4000), 12);
  });

  it('gives the same wave whatever pieces it is handed in', () => {
    const wave = sine(1.3, 19.3, 400);
    expect(clipped(wave, 0, LIMITS, 8)).toEqual(clipped(wave));
  });

  it('sums up what it lets through, its size and its square, clipped or not', () => {
    const wave = sine(1.3, 384, 6 * 384);
    const padded = new Float64Array(2 * CLIPPER_DELAY + wave.length);
    padded.set(wave, CLIPPER_DELAY);
    const clipper = new Clipper(0);
    const seen = [0, 0, 0];
    for (let from = CLIPPER_DELAY; from < padded.length; from += 30) {
      clipper.process(padded, from, Math.min(from + 30, padded.length), LIMITS);
      [clipper.sum, clipper.magnitude, clipper.square].forEach((part, i) => {
        seen[i] = seen[i]! + part;
      });
    }
    const passed = padded.subarray(0, CLIPPER_DELAY + wave.length);
    const total = (of: (x: number) => number) => passed.reduce((sum, x) => sum + of(x), 0);
    // Sums in another order: 2304 samples of about 1 differ by some 1e-13.
    expect(Math.max(...passed)).toBeCloseTo(1, 3);
    expect(seen[0]).toBeCloseTo(
      total((x) => x),
      10,
    );
    expect(seen[1]).toBeCloseTo(total(Math.abs), 10);
    expect(seen[2]).toBeCloseTo(
      total((x) => x * x),
      10,
    );
  });

  it('takes off what the closed form says within 0.1 %, at 19 samples a cycle', () => {
    // Half-wave mean of min(k sin t, 1): (2/pi) (k (1 - cos t0) + pi/2 - t0), t0 = asin(1/k); integral calculus.
    const k = 1.1;
    const t0 = Math.asin(1 / k);
    const expected = (2 / Math.PI) * (k * (1 - Math.cos(t0)) + Math.PI / 2 - t0);
    // Only the positive half is clipped, so that the mean of the wave shows what was taken off.
    const oneSided = { ...LIMITS, low: -10 };
    const wave = sine(k, 19.2, 1920);
    const taken = clipped(wave, 0, oneSided).reduce((sum, y, i) => sum + wave[i]! - y, 0) / wave.length;
    expect(Math.abs(taken / (k / Math.PI - expected / 2) - 1)).toBeLessThan(1e-3);
  });

  it('follows limits that move during a stretch', () => {
    const flat = new Float64Array(200).fill(5);
    const out = clipped(flat, 0, { ...LIMITS, high: 2, highStep: -0.001 }, 1000);
    const slope = (out[150]! - out[50]!) / 100;
    expect(slope).toBeCloseTo(-0.001, 9);
  });

  it('rounds the knee by a parabola of the stated width', () => {
    // Softness w: at the limit itself the output lies w/4 of the limit below it (parabola through both ends).
    const ramp = Float64Array.from({ length: 3000 }, (_, i) => i / 2000);
    const out = clipped(ramp, 0.1);
    expect(out[2000]! - ramp[2000]!).toBeCloseTo(-0.1 / 4, 5);
    expect(out[1790]).toBe(ramp[1790]);
    expect(out[2400]).toBeCloseTo(1, 6);
  });
});
