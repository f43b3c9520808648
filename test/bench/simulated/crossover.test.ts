import { describe, expect, it } from 'vitest';
import { Crossover } from '../../../src/bench/simulated/crossover.js';
import { Curvature } from '../../../src/bench/simulated/curvature.js';

const WAVE = Float64Array.from({ length: 400 }, (_, n) => 20 * Math.sin(n / 9) + Math.sin(n / 2.3));

function softened(): Crossover {
  const crossover = new Crossover(0.3);
  crossover.soften(0.5);
  return crossover;
}

describe('curvature and crossover in one pass', () => {
  it('do to the bit what they do one after another, in any pieces', () => {
    const curvature = new Curvature({ second: 0.001, third: 0.002, at_V: 15 });
    const wave = WAVE.slice();
    curvature.process(wave, 0, 400);
    softened().process(wave, 0, 400);
    for (const piece of [400, 80, 16]) {
      const bent = new Float64Array(7 + 400);
      const crossover = softened();
      for (let from = 0; from < 400; from += piece) {
        crossover.bend(WAVE, from, bent, 7 + from, piece, curvature);
      }
      expect(bent.subarray(7)).toEqual(wave);
    }
  });

  it('leave the missing volts out far from zero, and the series of the curvature in', () => {
    // A constant X: the curvature gives y = X + b X^2 - c X^3 with b = 2 k2 / peak and c = 4 k3 / peak^2 (power series of a sine);
    // the crossover y - m y / sqrt(y^2 + s^2).
    const peak_V = 15 * Math.SQRT2;
    const y = 10 + ((2 * 0.001) / peak_V) * 100 - ((4 * 0.002) / peak_V ** 2) * 1000;
    const expected = y - (0.3 * y) / Math.sqrt(y * y + 0.25);
    const bent = new Float64Array(8);
    const curvature = new Curvature({ second: 0.001, third: 0.002, at_V: 15 });
    softened().bend(new Float64Array(8).fill(10), 0, bent, 0, 8, curvature);
    // The first sample is averaged with the silence before.
    for (const volts of bent.subarray(1)) expect(volts).toBeCloseTo(expected, 12);
  });
});
