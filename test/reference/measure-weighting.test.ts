/*
 * A-weighting against the table of IEC 61672-1 (facts sheet, section 3: values to one decimal place, at the exact base-10
 * frequencies), its value at 1 kHz before scaling, and the share that it leaves of white noise: 2.0483 dB less than unweighted from
 * 20 Hz to 20 kHz (integral of the curve).
 */
import { describe, expect, it } from 'vitest';
import { spectraOf } from '../../src/measure/fft.js';
import { aWeightedPower, aWeighting, silenceOf } from '../../src/measure/silence.js';
import { seededRandom } from '../../src/signal/dither.js';

const dB = (ratio: number) => 20 * Math.log10(ratio);

describe('aWeighting', () => {
  it.each([
    [-20, -70.4],
    [-19, -63.4],
    [-18, -56.7],
    [-17, -50.5],
    [-16, -44.7],
    [-15, -39.4],
    [-14, -34.6],
    [-13, -30.2],
    [-12, -26.2],
    [-11, -22.5],
    [-10, -19.1],
    [-3, -3.2],
    [-2, -1.9],
    [-1, -0.8],
    [0, 0],
    [1, 0.6],
    [2, 1],
    [3, 1.2],
    [4, 1.3],
    [5, 1.2],
    [6, 1],
    [7, 0.5],
  ])('at 1000 x 10^(%d/10) Hz is %d dB', (n, expected_dB) => {
    expect(Math.abs(dB(aWeighting(1000 * 10 ** (n / 10))) - expected_dB)).toBeLessThanOrEqual(0.05 + 1e-9);
  });

  it('leaves white noise from 20 Hz to 20 kHz 2.0483 dB weaker', () => {
    // By the trapezoidal rule over the curve itself.
    const steps = 200_000;
    const width_Hz = (20_000 - 20) / steps;
    let sum = 0;
    for (let i = 0; i <= steps; i += 1)
      sum += aWeighting(20 + i * width_Hz) ** 2 * (i === 0 || i === steps ? 0.5 : 1);
    expect(dB(Math.sqrt(sum / steps))).toBeCloseTo(-2.0483, 3);
  });

  it('does so to noise that was sampled', () => {
    const random = seededRandom(7);
    const samples = Float64Array.from({ length: 2 ** 18 }, () => random() + random() + random() - 1.5);
    const band = [20, 20_000] as const;
    const [spectrum] = spectraOf([samples], samples.length);
    const { noise_rms, weighted_rms } = silenceOf(samples, 48_000, band);
    expect(Math.abs(dB(weighted_rms / noise_rms) + 2.0483)).toBeLessThan(0.1);
    expect(Math.sqrt(aWeightedPower(spectrum!, band, 48_000))).toBeCloseTo(weighted_rms, 4);
  });
});
