import { decibelsOfVoltage } from '../units/decibel.js';
import type { Band, Harmonic } from './analysis.js';
import { reaches } from './default-band.js';
import { powerBetween, readSpectra } from './fft.js';

/** Harmonics counted: orders 2 to 20. */
export const HIGHEST_ORDER = 20;

/** Residue ratios below this are rounding of doubles; it also keeps decibels finite. */
const LEAST_RATIO = 1e-16;

export interface Distortion {
  readonly rms: number;
  readonly thd_percent: number | null;
  readonly thdr_percent: number | null;
  readonly thdn_percent: number;
  readonly sinad_dB: number;
}

/**
 * Distortion figures from the parts of one channel.
 *
 * THD is relative to the fundamental, `thdr` to fundamental and harmonics together, THD+N to all
 * of it as a notch reading gives (AES17 practice), SINAD is its reciprocal in decibels (at most 320).
 * Without a harmonic in the band there is no THD: null, not zero. Without a fundamental everything
 * is residue: THD+N 100 %, SINAD 0 dB.
 */
export function distortionOf(
  fundamental_rms: number,
  harmonics: readonly Harmonic[],
  noise_rms: number,
): Distortion {
  const harmonics_rms = Math.hypot(...harmonics.map((harmonic) => harmonic.rms));
  const residue_rms = Math.hypot(harmonics_rms, noise_rms);
  const rms = Math.hypot(fundamental_rms, residue_rms);
  if (fundamental_rms === 0) {
    return { rms, thd_percent: null, thdr_percent: null, thdn_percent: 100, sinad_dB: 0 };
  }
  const counted = harmonics.length > 0;
  const thd = harmonics_rms / fundamental_rms;
  const thdn = residue_rms / rms;
  return {
    rms,
    thd_percent: counted ? 100 * thd : null,
    thdr_percent: counted ? 100 * thdrFromThdf(thd) : null,
    thdn_percent: 100 * thdn,
    sinad_dB: -decibelsOfVoltage(Math.max(thdn, LEAST_RATIO)),
  };
}

/** A distortion ratio relative to the fundamental, restated relative to the total. */
export function thdrFromThdf(thdf: number): number {
  return thdf / Math.sqrt(1 + thdf * thdf);
}

/** What a channel is made of, by either method. */
export interface Parts {
  readonly method: 'coherent' | 'fitted';
  readonly cyclesPerSample: number;
  readonly fundamental_rms: number;
  /** Phase at the first frame of the cosine that the fundamental amounts to. */
  readonly phase_rad: number;
  readonly dc: number;
  readonly harmonics: readonly Harmonic[];
  readonly noise_rms: number;
}

/** Orders 2 to 20 of a fundamental whose frequency the band reaches. */
export function ordersInBand(band: Band, fundamental_Hz: number): number[] {
  const orders: number[] = [];
  for (let order = 2; order <= HIGHEST_ORDER && reaches(band, order * fundamental_Hz); order++) {
    orders.push(order);
  }
  return orders;
}

/** First and last bin inside the band, DC left out. */
export function binsOf(band: Band, bin_Hz: number, frames: number): readonly [number, number] {
  const low = Math.max(1, Math.ceil(band[0] / bin_Hz - 1e-9));
  return [low, Math.min(frames / 2, Math.floor(band[1] / bin_Hz + 1e-9))];
}

/**
 * Mean square inside a band of each of several records, every sample weighing the same: no window, and zero
 * padding only fills the transform up.
 */
export function bandPowers(records: readonly Float64Array[], band: Band, rate_Hz: number): number[] {
  const longest = Math.max(...records.map((record) => record.length));
  const frames = 2 ** Math.max(1, Math.ceil(Math.log2(longest)));
  const [low, high] = binsOf(band, rate_Hz / frames, frames);
  return readSpectra(
    records,
    frames,
    (spectrum, i) => (powerBetween(spectrum, low, high) * frames) / records[i]!.length,
  );
}

/** Rms inside a band over records of like length. */
export function bandRms(records: readonly Float64Array[], band: Band, rate_Hz: number): number {
  const powers = bandPowers(records, band, rate_Hz);
  return Math.sqrt(powers.reduce((sum, power) => sum + power, 0) / powers.length);
}
