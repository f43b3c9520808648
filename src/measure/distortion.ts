import { decibelsOfVoltage } from '../units/decibel.js';
import type { Harmonic } from './analysis.js';

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
