import type { Band } from './analysis.js';
import { powerAt, powerBetween, type Spectrum, spectraOf } from './fft.js';
import { levelOf } from './level.js';
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

/** Half of the band in which a line of the mains is looked for: lines wander, and spread in a short record. */
const HALF_WIDTH_Hz = 4;
/** Multiples of the mains that are counted; what lies beyond is told as noise. */
const MOST_MULTIPLES = 10;
const MAINS_Hz = [50, 60] as const;

/** What stands at the multiples of one mains frequency. */
export interface Hum {
  readonly mains_Hz: 50 | 60;
  /** Rms of the first ten multiples together, in the unit of the samples. */
  readonly rms: number;
}

/** What is in a record while nothing is played, in the unit of the samples. */
export interface Silence {
  readonly dc: number;
  /** Rms in the band, hum included, DC not. */
  readonly noise_rms: number;
  /** The same, A-weighted. */
  readonly weighted_rms: number;
  readonly hum: Hum;
}

/**
 * DC, noise and hum of a record without a test tone. Hum is the rms within 4 Hz of the first ten multiples of 50 Hz or
 * of 60 Hz, whichever is more: noise in those bands is counted in, and up to 5 % of a line's power may lie outside.
 *
 * @param samples a power of two of them, at least half a second
 * @param band of the noise, in hertz
 * @throws NonFiniteSamples when a sample is NaN or infinite
 */
export function silenceOf(samples: Float64Array, rate_Hz: number, band: readonly [number, number]): Silence {
  const frames = samples.length;
  const { dc } = levelOf(samples);
  const [spectrum] = spectraOf([samples.map((sample) => sample - dc)], frames);
  const power = (low_Hz: number, high_Hz: number) => {
    const [first, last] = binsOf([low_Hz, high_Hz], rate_Hz / frames, frames);
    return powerBetween(spectrum!, first, last);
  };
  const hums = MAINS_Hz.map((mains_Hz): Hum => {
    let square = 0;
    for (let n = 1; n <= MOST_MULTIPLES; n += 1)
      square += power(n * mains_Hz - HALF_WIDTH_Hz, n * mains_Hz + HALF_WIDTH_Hz);
    return { mains_Hz, rms: Math.sqrt(square) };
  });
  const hum = hums.reduce((most, other) => (other.rms > most.rms ? other : most));
  const noise_rms = Math.sqrt(power(band[0], band[1]));
  return { dc, noise_rms, weighted_rms: Math.sqrt(aWeightedPower(spectrum!, band, rate_Hz)), hum };
}
