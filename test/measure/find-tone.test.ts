import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import { fundamentalByFit } from '../../src/measure/fundamental.js';
import { gaussian, RATE_HZ, scaled, sine, sum } from './signals.js';

/** White noise through a one-pole low-pass with its corner at 0.16 % of the rate. */
function drifting(frames: number, seed: number): Float64Array {
  let state = 0;
  return gaussian(frames, seed).map((x) => {
    state = 0.99 * state + x;
    return state;
  });
}

describe('a tone', () => {
  it('is found in noise larger than itself', () => {
    for (let seed = 1; seed <= 10; seed++) {
      const samples = sum(sine(30_000, 0.0211), scaled(gaussian(30_000, seed), 1));
      expect(Math.abs(fundamentalByFit(samples)!.cyclesPerSample / 0.0211 - 1)).toBeLessThan(1e-4);
    }
  });

  it('is found 60 dB below the hum when its place is known', () => {
    const samples = sum(sine(48_000, 1000.3 / RATE_HZ, 1e-3), sine(48_000, 50 / RATE_HZ));
    const [found] = analyse([samples], { rate_Hz: RATE_HZ, frequency_Hz: 1000 });
    expect(found!.fundamental_Hz).toBeCloseTo(1000.3, 1);
  });

  it('is not seen in white or drifting noise', () => {
    for (let seed = 1; seed <= 20; seed++) {
      for (const noise of [
        gaussian(16_384, seed),
        gaussian(9999, seed),
        drifting(16_384, seed),
        drifting(9999, seed),
      ]) {
        expect(fundamentalByFit(noise)).toBeNull();
        expect(fundamentalByFit(noise, [0.019, 0.023])).toBeNull();
      }
    }
  });
});
