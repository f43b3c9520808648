/**
 * A sum of cosines a0 - a1 cos(x) + a2 cos(2x) - ..., x = 2 pi n / N: the periodic form, whose
 * transform has its nulls on whole bins.
 */
export interface Window {
  readonly name: string;
  readonly coefficients: readonly number[];
  /** Bins from the centre of the main lobe to its first null. */
  readonly halfLobe_bins: number;
}

/** The usual raised cosine. Narrow main lobe, side lobes from -31 dB down. */
export const HANN: Window = { name: 'Hann', coefficients: [0.5, 0.5], halfLobe_bins: 2 };

/** Seven-term Blackman-Harris, side lobes below -180 dB: for tones that fall between bins. */
export const BLACKMAN_HARRIS_7: Window = {
  name: 'Blackman-Harris, 7 terms',
  coefficients: [
    0.27105140069342, 0.43329793923448, 0.21812299954311, 0.06592544638803, 0.01081174209837,
    0.00077658482522, 0.00001388721735,
  ],
  halfLobe_bins: 7,
};

/** `frames` samples of the window. */
export function windowSamples(window: Window, frames: number): Float64Array {
  const { coefficients } = window;
  const samples = new Float64Array(frames);
  for (let n = 0; n < frames; n++) {
    let sum = 0;
    for (let k = 0; k < coefficients.length; k++) {
      const term = coefficients[k]! * Math.cos((2 * Math.PI * ((k * n) % frames)) / frames);
      sum += k % 2 === 0 ? term : -term;
    }
    samples[n] = sum;
  }
  return samples;
}

/** Mean square of the window: what it leaves of a signal's power. */
export function powerGain(window: Window): number {
  const [a0 = 0, ...rest] = window.coefficients;
  return a0 * a0 + rest.reduce((sum, a) => sum + (a * a) / 2, 0);
}

/** The samples times the window. */
export function windowed(samples: Float64Array, window: Window): Float64Array {
  const product = windowSamples(window, samples.length);
  for (let n = 0; n < samples.length; n++) product[n] = product[n]! * samples[n]!;
  return product;
}
