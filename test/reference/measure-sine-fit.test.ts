import { describe, expect, it } from 'vitest';
import { fundamentalByFit, sineFit4 } from '../../src/measure/fundamental.js';
import { gaussian, relativeError, scaled, sine, sum } from '../measure/signals.js';

const FRAMES = 1000;
const NOISE = 0.01;
const F = 0.0432109;

function spread(values: readonly number[]): number {
  const mean = values.reduce((total, x) => total + x, 0) / values.length;
  return Math.sqrt(values.reduce((total, x) => total + (x - mean) ** 2, 0) / (values.length - 1));
}

/**
 * Bounds on the variance of a sine's parameters in white noise of standard deviation s: amplitude 2 s^2 / N,
 * frequency 24 s^2 / (A^2 N (N^2 - 1)) rad^2. Source: IEEE Std 1057 (from memory, derived anew); for N = 1000 and
 * s = 0.01 standard deviations of 4.472e-4 and 2.466e-7 cycles per sample.
 */
describe('the four-parameter fit', () => {
  const runs = 1000;
  const fits = Array.from({ length: runs }, (_, seed) =>
    sineFit4(sum(sine(FRAMES, F, 1, 0.3), scaled(gaussian(FRAMES, seed + 1), NOISE)), F + 2e-4),
  );
  // The spread of 1000 values is itself known to 2.2 %: four of those.
  const tolerance = 4 / Math.sqrt(2 * runs);

  it('scatters in amplitude by the bound', () => {
    expect(relativeError(spread(fits.map((fit) => fit.amplitude)), 4.472e-4)).toBeLessThan(tolerance);
  });

  it('scatters in frequency by the bound', () => {
    expect(relativeError(spread(fits.map((fit) => fit.cyclesPerSample)), 2.466e-7)).toBeLessThan(tolerance);
  });

  it('has no bias', () => {
    const mean = (values: number[]) => values.reduce((total, x) => total + x, 0) / runs;
    expect(Math.abs(mean(fits.map((fit) => fit.amplitude)) - 1)).toBeLessThan(
      (4 * 4.472e-4) / Math.sqrt(runs),
    );
    expect(Math.abs(mean(fits.map((fit) => fit.cyclesPerSample)) - F)).toBeLessThan(
      (4 * 2.466e-7) / Math.sqrt(runs),
    );
  });

  it('leaves the noise over', () => {
    const expected = NOISE * Math.sqrt((FRAMES - 4) / FRAMES);
    const squares = fits.reduce((total, fit) => total + fit.residue_rms ** 2, 0) / runs;
    expect(relativeError(Math.sqrt(squares), expected)).toBeLessThan(4 / Math.sqrt(2 * runs * FRAMES));
  });
});

describe('fits of a clean sine', () => {
  it.each([0.0123, 0.2, 0.37, 0.4531])('find all parameters at %f cycles per sample', (f) => {
    const samples = sine(777, f, 0.7, 1.1).map((x) => x - 0.2);
    for (const fit of [sineFit4(samples, f + 1e-4), fundamentalByFit(samples)!]) {
      expect(relativeError(fit.cyclesPerSample, f)).toBeLessThan(1e-12);
      expect(relativeError(fit.amplitude, 0.7)).toBeLessThan(1e-12);
      expect(Math.abs(fit.dc + 0.2)).toBeLessThan(1e-12);
      expect(Math.abs(fit.phase_rad - (1.1 - Math.PI / 2))).toBeLessThan(1e-9);
      expect(fit.residue_rms).toBeLessThan(1e-12);
    }
  });

  it('manage with three cycles', () => {
    const fit = fundamentalByFit(sine(100, 0.031, 1, 0.5))!;
    expect(relativeError(fit.cyclesPerSample, 0.031)).toBeLessThan(1e-12);
    expect(relativeError(fit.amplitude, 1)).toBeLessThan(1e-12);
  });

  it('stay within 1 ppm of the frequency at -60 dB of noise in 16 384 samples', () => {
    const samples = sum(sine(16_384, 0.02083, 0.5), scaled(gaussian(16_384, 3), 0.5e-3));
    expect(relativeError(fundamentalByFit(samples)!.cyclesPerSample, 0.02083)).toBeLessThan(1e-6);
  });
});
