import { describe, expect, it } from 'vitest';
import { flatHalfBand, kaiserHalfBand } from '../../../src/bench/simulated/half-band.js';
import { DownSampler, doublings, UpSampler } from '../../../src/bench/simulated/oversampling.js';

/** Gain of a half-band kernel at a share of the higher rate. */
function gain(kernel: Float64Array, share: number): number {
  return kernel.reduce((sum, c, k) => sum + 2 * c * Math.cos(2 * Math.PI * share * (2 * k + 1)), 0.5);
}

const dB = (ratio: number) => 20 * Math.log10(Math.abs(ratio));

/** Amplitude and phase of the sine of `period` samples in the last `length` samples. */
function phasor(wave: Float64Array, period: number, length: number): [amplitude: number, phase: number] {
  let re = 0;
  let im = 0;
  for (let n = wave.length - length; n < wave.length; n += 1) {
    re += (wave[n]! * Math.sin((2 * Math.PI * n) / period) * 2) / length;
    im += (wave[n]! * Math.cos((2 * Math.PI * n) / period) * 2) / length;
  }
  return [Math.hypot(re, im), Math.atan2(im, re)];
}

describe('half-band kernels', () => {
  it('pass a constant and mirror pass and stop band about a quarter of the rate', () => {
    for (const kernel of [kaiserHalfBand(0.21, 100), flatHalfBand(4)]) {
      expect(gain(kernel, 0)).toBeCloseTo(1, 14);
      expect(gain(kernel, 0.1) + gain(kernel, 0.4)).toBeCloseTo(1, 14);
    }
  });

  it('reject what they were asked to, within 1 dB', () => {
    for (const rejection_dB of [80, 100, 120]) {
      const kernel = kaiserHalfBand(0.21, rejection_dB);
      for (let share = 0.29; share <= 0.5; share += 0.0005) {
        expect(dB(gain(kernel, share))).toBeLessThan(-rejection_dB + 1);
      }
    }
  });

  it('interpolate a cubic exactly with two flat pairs (Lagrange)', () => {
    const cubic = (x: number) => 3 - x + 2 * x ** 2 - 0.5 * x ** 3;
    const [near, far] = [flatHalfBand(2)[0]!, flatHalfBand(2)[1]!];
    const middle = 2 * (near * (cubic(-1) + cubic(1)) + far * (cubic(-3) + cubic(3)));
    expect(middle).toBeCloseTo(cubic(0), 12);
    // The textbook midpoint weights 9/16 and -1/16.
    expect([2 * near, 2 * far]).toEqual([9 / 16, -1 / 16]);
  });
});

describe('the way up and down again', () => {
  it.each([44_100, 48_000, 96_000, 192_000])('is flat within 0.001 dB up to 20 kHz at %d Hz', (rate_Hz) => {
    const frames = 480;
    const ratio = 2 ** doublings(rate_Hz);
    for (const frequency_Hz of [20_000, 15_000, 1000]) {
      const cycles = Math.round((frequency_Hz * frames) / rate_Hz);
      const period = frames / cycles;
      const [up, down] = [new UpSampler(rate_Hz, frames), new DownSampler(rate_Hz, frames)];
      const lowered = new Float64Array(frames);
      const wave = Float64Array.from({ length: frames }, (_, n) => Math.sin((2 * Math.PI * n) / period));
      for (let pass = 0; pass < 3; pass += 1) {
        up.input.set(wave, up.past);
        up.process(down.input, down.past, frames);
        down.process(lowered, frames);
      }
      const [amplitude, phase] = phasor(lowered, period, frames);
      expect(Math.abs(dB(amplitude))).toBeLessThan(0.001);
      const delay = (up.delay + down.delay) / ratio;
      const turns = phase / (2 * Math.PI) + delay / period;
      expect(turns - Math.round(turns)).toBeCloseTo(0, 6);
    }
  });
});
