import type { Band } from './analysis.js';
import { powerAt, type Spectrum } from './fft.js';
import { binsOf } from './parts.js';

/** How noise is weighted over frequency before it is summed. */
export type Weighting = 'none' | 'A';

/** Pole frequencies of the A-weighting, hertz: IEC 61672-1:2013, annex E (facts sheet, section 3). */
const POLES_Hz = [20.598997, 107.65265, 737.86223, 12194.217] as const;

/** A-weighting relative to 1 kHz, as a ratio of amplitudes. IEC 61672-1:2013, annex E. */
export function aWeighting(frequency_Hz: number): number {
  return unscaled(frequency_Hz) / AT_1kHz;
}

function unscaled(frequency_Hz: number): number {
  const [f1, f2, f3, f4] = POLES_Hz.map((pole_Hz) => pole_Hz ** 2) as [number, number, number, number];
  const f = frequency_Hz ** 2;
  return (f4 * f ** 2) / ((f + f1) * Math.sqrt((f + f2) * (f + f3)) * (f + f4));
}

const AT_1kHz = unscaled(1000);

/** Mean square in a band of a spectrum, each bin weighted by the A-curve. */
export function aWeightedPower(spectrum: Spectrum, band: Band, rate_Hz: number): number {
  const bin_Hz = rate_Hz / spectrum.frames;
  const [first, last] = binsOf(band, bin_Hz, spectrum.frames);
  let sum = 0;
  for (let bin = first; bin <= last; bin += 1) sum += powerAt(spectrum, bin) * aWeighting(bin * bin_Hz) ** 2;
  return sum;
}
