import { describe, expect, it } from 'vitest';
import { LowPass } from '../../../src/bench/simulated/first-order.js';

/** Level of one RC, the closed form. */
const rc_dB = (frequency_Hz: number, corner_Hz: number) =>
  -10 * Math.log10(1 + (frequency_Hz / corner_Hz) ** 2);
const BAND_HZ = Array.from({ length: 31 }, (_, i) => 20 * 10 ** (i / 10));

describe('the low-pass of a converter', () => {
  it.each([
    [48_000, 90_000, 0.005],
    [44_100, 90_000, 0.02],
    [96_000, 90_000, 2e-4],
    [192_000, 90_000, 1e-4],
    [192_000, 25_000, 2e-3],
  ])('at %d Hz follows an RC of %d Hz within %f dB from 20 Hz to 20 kHz', (rate_Hz, corner_Hz, most_dB) => {
    const lowPass = new LowPass(corner_Hz, rate_Hz);
    for (const frequency_Hz of BAND_HZ) {
      const level_dB = 20 * Math.log10(lowPass.gain(frequency_Hz));
      expect(Math.abs(level_dB - rc_dB(frequency_Hz, corner_Hz))).toBeLessThan(most_dB);
    }
  });

  it.each([1000, 7000, 20_000])('does to a sine of %d Hz what it says', (frequency_Hz) => {
    const lowPass = new LowPass(30_000, 48_000);
    // 96 000 frames hold whole cycles; the start-up is over long before the second half.
    const samples = Float64Array.from({ length: 96_000 }, (_, n) =>
      Math.sin((2 * Math.PI * frequency_Hz * n) / 48_000),
    );
    lowPass.process(samples, samples.length);
    const late = samples.subarray(48_000);
    const rms = Math.sqrt(late.reduce((sum, x) => sum + x * x, 0) / late.length);
    expect((rms * Math.SQRT2) / lowPass.gain(frequency_Hz)).toBeCloseTo(1, 10);
  });

  it('passes a constant, and the same in stretches as in one piece', () => {
    const whole = new Float64Array(300).fill(0.7);
    const pieces = whole.slice();
    new LowPass(20_000, 48_000).process(whole, 300);
    const lowPass = new LowPass(20_000, 48_000);
    for (let at = 0; at < 300; at += 100) lowPass.process(pieces.subarray(at, at + 100), 100);
    expect(pieces).toEqual(whole);
    expect(whole[299]).toBeCloseTo(0.7, 12);
  });
});
