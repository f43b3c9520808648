import { describe, expect, it } from 'vitest';
import { powerAt, spectraOf } from '../../src/measure/fft.js';
import { fundamentalByWindow } from '../../src/measure/fundamental.js';
import {
  BLACKMAN_HARRIS_7,
  HANN,
  powerGain,
  type Window,
  windowed,
  windowSamples,
} from '../../src/measure/window.js';
import { relativeError, sine } from '../measure/signals.js';

/** Coefficients from F. J. Harris, Proc. IEEE 66 (1978), table 1: it shows that a window is made as he writes it. */
const BLACKMAN_HARRIS_4: Window = {
  name: 'Blackman-Harris, 4 terms',
  coefficients: [0.35875, 0.48829, 0.14128, 0.01168],
  halfLobe_bins: 4,
};

/** Mean of a window: what it leaves of a tone's amplitude. */
const coherentGain = ({ coefficients }: Window): number => coefficients[0]!;

/** Equivalent noise bandwidth in bins. */
const noiseBandwidth_bins = (window: Window): number => powerGain(window) / coherentGain(window) ** 2;

/**
 * Coherent gain, noise bandwidth in bins, highest side lobe in dB and loss in dB at 0.1, 0.25 and 0.5 bin.
 * Source: numerical evaluation of the windows' definitions; Hann and Blackman-Harris rows agree with
 * F. J. Harris, "On the use of windows for harmonic analysis with the discrete Fourier transform",
 * Proc. IEEE 66 (1978), table 1, within its rounding.
 */
const TABLE: readonly [Window, number, number, number, readonly [number, number, number]][] = [
  [HANN, 0.5, 1.5, -31.47, [-0.05605, -0.35152, -1.42362]],
  [BLACKMAN_HARRIS_4, 0.35875, 2.004353, -92.01, [-0.0329, -0.20578, -0.82557]],
  [BLACKMAN_HARRIS_7, 0.2710514, 2.631905, -180.05, [-0.01936, -0.12104, -0.48461]],
];

const FRAMES = 4096;
/** Spectrum points per bin when side lobes are looked at. */
const ZOOM = 32;

function highestSideLobe_dB(window: Window): number {
  const [spectrum] = spectraOf([windowSamples(window, FRAMES)], FRAMES * ZOOM);
  const peak = 2 * powerAt(spectrum!, 0);
  let highest = 0;
  for (let k = window.halfLobe_bins * ZOOM; k < (FRAMES * ZOOM) / 2; k++) {
    highest = Math.max(highest, powerAt(spectrum!, k) / peak);
  }
  return 10 * Math.log10(highest);
}

function loss_dB(window: Window, offset: number): number {
  const bin = 64;
  const samples = windowed(sine(FRAMES, (bin + offset) / FRAMES), window);
  const [spectrum] = spectraOf([samples], FRAMES);
  return 20 * Math.log10(Math.sqrt(2 * powerAt(spectrum!, bin)) / coherentGain(window));
}

describe.each(TABLE)('the window $name', (window, gain, bandwidth, sideLobe_dB, losses) => {
  it('has the tabulated coherent gain and noise bandwidth', () => {
    expect(Math.abs(coherentGain(window) - gain)).toBeLessThan(1e-7);
    expect(Math.abs(noiseBandwidth_bins(window) - bandwidth)).toBeLessThan(1e-6);
  });

  it('has them in its samples too', () => {
    const samples = windowSamples(window, FRAMES);
    const mean = samples.reduce((sum, x) => sum + x, 0) / FRAMES;
    const meanSquare = samples.reduce((sum, x) => sum + x * x, 0) / FRAMES;
    expect(Math.abs(mean - gain)).toBeLessThan(1e-7);
    expect(Math.abs(meanSquare / mean ** 2 - bandwidth)).toBeLessThan(1e-6);
  });

  it('has the tabulated side lobes', () => {
    expect(Math.abs(highestSideLobe_dB(window) - sideLobe_dB)).toBeLessThan(0.05);
  });

  it.each([0.1, 0.25, 0.5])('loses what the table says at %f bin', (offset) => {
    const expected = losses[[0.1, 0.25, 0.5].indexOf(offset)]!;
    expect(Math.abs(loss_dB(window, offset) - expected)).toBeLessThan(5e-5);
  });
});

describe('fundamentalByWindow', () => {
  it('reads amplitude within 1e-5 and frequency within 1 ppm at the worst offset from a bin', () => {
    for (const offset of [0, 0.1, 0.25, 0.4, 0.5]) {
      const f = (100 + offset) / 4096;
      const found = fundamentalByWindow(sine(4096, f, 0.3, 1), BLACKMAN_HARRIS_7)!;
      expect(relativeError(found.rms, 0.3 / Math.SQRT2)).toBeLessThan(1e-5);
      expect(relativeError(found.cyclesPerSample, f)).toBeLessThan(1e-6);
    }
  });
});
