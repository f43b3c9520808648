import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import type { Band } from '../../src/measure/analysis.js';
import { thdrFromThdf } from '../../src/measure/parts.js';
import {
  clip,
  gaussian,
  ONE_KILOHERTZ,
  periodic,
  RATE_HZ,
  relativeError,
  scaled,
  sum,
} from '../measure/signals.js';

const TO_NYQUIST: Band = [0, RATE_HZ / 2];
const TO_H10: Band = [20, 10_500];

function read(samples: Float64Array, band: Band | null = null) {
  return analyse([samples], { rate_Hz: RATE_HZ, tone: ONE_KILOHERTZ, band })[0]!;
}

/** A wave from its Fourier series, ended at order 20: nothing that could fold back. */
function fromSeries(coefficient: (order: number) => number): Float64Array {
  const coefficients = Array.from({ length: 20 }, (_, i) => coefficient(i + 1));
  return periodic(ONE_KILOHERTZ, (x) =>
    coefficients.reduce((all, b, i) => all + b * Math.sin((i + 1) * x), 0),
  );
}

/** Sine coefficients of k sin(x) limited to +-1 (Fourier integral over the unclipped and the flat part). */
function clippedSine(k: number) {
  const t = Math.asin(1 / k);
  return (n: number) => {
    if (n % 2 === 0) return 0;
    if (n === 1) return (2 / Math.PI) * (k * t + Math.cos(t));
    return ((2 * k) / (Math.PI * n)) * (Math.sin((n - 1) * t) / (n - 1) + Math.sin((n + 1) * t) / (n + 1));
  };
}

/**
 * Symmetric hard clipping: overdrive k, then THD relative to the fundamental for harmonics up to 10 and up to
 * 20, and total distortion relative to all of it for all harmonics. Source: closed-form Fourier series,
 * evaluated with 60 digits and checked by quadrature.
 */
const HARD_CLIP: readonly [number, number, number, number][] = [
  [1.001, 0.00751968, 0.0110452, 0.0169882],
  [1.002, 0.0210676, 0.0303231, 0.039941],
  [1.005, 0.0809661, 0.110122, 0.122515],
  [1.01, 0.218775, 0.274709, 0.282756],
  [1.02, 0.567117, 0.638494, 0.641924],
  [1.05, 1.78163, 1.8141, 1.81843],
  [1.1, 3.76866, 3.78938, 3.7916],
  [1.2, 7.34477, 7.37992, 7.36465],
  [1.5, 15.2978, 15.3443, 15.1711],
  [2, 23.2478, 23.2853, 22.6865],
  [10, 41.4463, 42.9314, 39.5335],
];

describe.each(HARD_CLIP)('a sine clipped at an overdrive of %f', (k, toH10, toH20, all) => {
  it('has the closed-form THD when built from its series', () => {
    const samples = fromSeries(clippedSine(k));
    expect(relativeError(read(samples).thd_percent!, toH20)).toBeLessThan(5e-6);
    expect(relativeError(read(samples, TO_H10).thd_percent!, toH10)).toBeLessThan(5e-6);
  });

  it('has it when sampled, since folded harmonics miss the counted bins', () => {
    const samples = periodic(ONE_KILOHERTZ, (x) => clip(k * Math.sin(x)));
    expect(relativeError(read(samples).thd_percent!, toH20)).toBeLessThan(1e-5);
    expect(relativeError(read(samples, TO_NYQUIST).thdn_percent, all)).toBeLessThan(1e-4);
  });
});

/**
 * Clipping at +p and -q of A sin(x): dc, fundamental and harmonics 2 and 3 as peak values, THD to the tenth.
 * Source: conduction-angle Fourier series, checked against a numerical transform.
 */
const ASYMMETRIC: readonly [number, number, number, number[], number | null][] = [
  [1.1, 1, Number.POSITIVE_INFINITY, [-0.00909026, 1.08215178, 0.01687728, 0.01534298], 2.85951],
  [1.2, 1, 1.1, [-0.01601351, 1.13512864, 0.02675555, 0.05074261], 5.92343],
  [2, 1, Number.POSITIVE_INFINITY, [-0.21799556, 1.60899778, 0.27566445, 0.13783222], null],
];

describe.each(ASYMMETRIC)('a sine of peak %f clipped at +%f and -%f', (A, p, q, parts, thd) => {
  it('has the closed-form dc, harmonics and THD', () => {
    const samples = periodic(ONE_KILOHERTZ, (x) => Math.max(-q, Math.min(p, A * Math.sin(x))));
    const { dc, fundamental_rms, harmonics, thd_percent } = read(samples, TO_H10);
    const found = [dc, ...[fundamental_rms, harmonics[0]!.rms, harmonics[1]!.rms].map((x) => x * Math.SQRT2)];
    found.forEach((value, i) => {
      expect(Math.abs(value - parts[i]!)).toBeLessThan(1e-6);
    });
    if (thd !== null) expect(relativeError(thd_percent!, thd)).toBeLessThan(1e-5);
  });
});

/** THD to the tenth and twentieth harmonic; source: the Fourier series of each shape, closed form. */
const SHAPES: readonly [string, (n: number) => number, number, number | null][] = [
  ['square wave', (n) => (n % 2 ? 1 / n : 0), 42.87948, 45.68603],
  ['triangle wave', (n) => (n % 2 ? (n % 4 === 1 ? 1 : -1) / n ** 2 : 0), 12.04765, 12.10673],
  ['sawtooth', (n) => 1 / n, 74.14632, null],
];

describe.each(SHAPES)('a %s', (_, series, toH10, toH20) => {
  it('has the THD of its Fourier series', () => {
    const samples = fromSeries(series);
    expect(relativeError(read(samples, TO_H10).thd_percent!, toH10)).toBeLessThan(1e-6);
    if (toH20 !== null) expect(relativeError(read(samples).thd_percent!, toH20)).toBeLessThan(1e-6);
  });
});

/** Total distortion of all harmonics relative to all of it; closed forms sqrt(1 - 8/pi^2) and so on. */
describe('sampled shapes up to half the rate', () => {
  it.each([
    ['square wave', (x: number) => (x < Math.PI ? 1 : -1), Math.sqrt(1 - 8 / Math.PI ** 2)],
    [
      'triangle wave',
      (x: number) => 1 - (2 / Math.PI) * Math.abs(x - Math.PI),
      Math.sqrt(1 - 96 / Math.PI ** 4),
    ],
    ['sawtooth', (x: number) => x / Math.PI - 1, Math.sqrt(1 - 6 / Math.PI ** 2)],
    [
      'half-wave sine',
      (x: number) => Math.max(0, Math.sin(x)),
      thdrFromThdf(Math.sqrt(1 - 8 / Math.PI ** 2)),
    ],
  ])('hold the whole distortion of a %s', (_, wave, expected) => {
    const { thdn_percent } = read(periodic(ONE_KILOHERTZ, wave), TO_NYQUIST);
    expect(relativeError(thdn_percent / 100, expected)).toBeLessThan(1e-4);
  });

  it('give a square wave the THD of 45.68603 % within 1e-5', () => {
    const { thd_percent } = read(periodic(ONE_KILOHERTZ, (x) => (x < Math.PI ? 1 : -1)));
    expect(relativeError(thd_percent!, 45.68603)).toBeLessThan(1e-5);
  });
});

describe('cubic curvature y = x - a x^3', () => {
  // u = a A^2; THD = u / (4 - 3u), from the identity for sin^3. u from its inverse 4d / (1 + 3d).
  it.each([
    [0.04 / 1.03, 1],
    [4 / 13, 10],
    [1 / 3, 100 / 9],
    [0.004 / 1.003, 0.1],
  ])('has at u = %f a THD of %f %%', (u, percent) => {
    const { thd_percent, harmonics } = read(
      periodic(ONE_KILOHERTZ, (x) => Math.sin(x) - u * Math.sin(x) ** 3),
    );
    expect(relativeError(thd_percent!, percent)).toBeLessThan(1e-6);
    expect(relativeError(harmonics[1]!.rms * Math.SQRT2, u / 4)).toBeLessThan(1e-12);
  });
});

describe('definitions', () => {
  // Polynomial y = x + a2 x^2 + a3 x^3 at unit peak: closed forms, checked against a numerical transform.
  it.each([
    [0.01, 0, 0.5],
    [0, 0.01, 0.248139],
    [0.01, 0.01, 0.554856],
    [0, -0.05, 1.298701],
  ])('give second-order %f and third-order %f curvature a THD of %f %%', (a2, a3, percent) => {
    const samples = periodic(
      ONE_KILOHERTZ,
      (x) => Math.sin(x) + a2 * Math.sin(x) ** 2 + a3 * Math.sin(x) ** 3,
    );
    expect(relativeError(read(samples).thd_percent!, percent)).toBeLessThan(1e-6);
  });

  // Algebra: THD_R = THD_F / sqrt(1 + THD_F^2).
  it.each([
    [1, 0.99995],
    [10, 9.950372],
    [30, 28.73479],
  ])('restate %f %% of the fundamental as %f %% of the total', (thdf, thdr) => {
    expect(relativeError(100 * thdrFromThdf(thdf / 100), thdr)).toBeLessThan(1e-6);
    const samples = periodic(ONE_KILOHERTZ, (x) => Math.sin(x) + (thdf / 100) * Math.cos(3 * x));
    expect(relativeError(read(samples).thdr_percent!, thdr)).toBeLessThan(1e-6);
  });

  // sqrt(0.01^2 + 0.00316228^2) = 0.01048809: algebra, total taken as reference (AES17 practice, from memory).
  it('add 0.01 % THD and noise at -90 dB to 0.01048809 %', () => {
    const noise = bandNoise(Math.SQRT1_2 * 10 ** (-90 / 20));
    const samples = sum(
      periodic(ONE_KILOHERTZ, (x) => Math.sin(x) + 1e-4 * Math.sin(2 * x)),
      noise,
    );
    const found = read(samples);
    expect(relativeError(found.thdn_percent, 0.01048809)).toBeLessThan(2e-7);
    expect(relativeError(found.noise_rms, Math.SQRT1_2 * 10 ** (-90 / 20))).toBeLessThan(2e-7);
    expect(found.sinad_dB).toBeCloseTo(-20 * Math.log10(0.0001048809), 4);
  });
});

/** Noise of an exact rms: many lines of random phase on bins of the band that hold no harmonic. */
function bandNoise(rms: number): Float64Array {
  const { frames, cycles } = ONE_KILOHERTZ;
  const lines = 64;
  const phases = gaussian(lines, 11);
  const one = (line: number) =>
    periodic({ frames, cycles: 5 * cycles + 17 + 100 * line }, (x) => Math.cos(x + 10 * phases[line]!));
  return scaled(sum(...Array.from({ length: lines }, (_, line) => one(line))), rms / Math.sqrt(lines / 2));
}
