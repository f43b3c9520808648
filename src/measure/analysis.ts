import type { FlagCode } from './flags.js';

/** Lower and upper limit in hertz. The fundamental always counts, even when a band edge rounds past it. */
export type Band = readonly [low_Hz: number, high_Hz: number];

export interface Harmonic {
  readonly order: number;
  readonly frequency_Hz: number;
  readonly rms: number;
}

/** A place where the time line of a capture breaks. */
export interface Gap {
  /** Frame, counted from the start of the record, at which the break was seen. */
  readonly frame: number;
  /** Frames lost (positive) or inserted (negative), known only modulo one period; null when it cannot be told. */
  readonly slip_frames: number | null;
}

/**
 * What one channel of one record holds. Levels are in the unit of the samples passed in
 * (digital full scale = 1.0 peak, or volts).
 */
export interface ChannelAnalysis {
  /** `coherent`: whole cycles in the record, bins read directly; `fitted`: sine fit, residue analysed. */
  readonly method: 'coherent' | 'fitted';
  readonly fundamental_Hz: number;
  readonly fundamental_rms: number;
  /** At the first frame, of the cosine that the fundamental amounts to. */
  readonly fundamental_phase_rad: number;
  /** Rms of everything inside the band, the fundamental included, DC left out. */
  readonly rms: number;
  /** Relative to the fundamental, harmonics 2..20 inside the band; null when none lies inside it. */
  readonly thd_percent: number | null;
  /** The same harmonics relative to the root of the summed squares of fundamental and harmonics. */
  readonly thdr_percent: number | null;
  /** Everything but the fundamental inside the band, relative to `rms` (AES17 practice). */
  readonly thdn_percent: number;
  /** -20 log10 of the THD+N ratio. */
  readonly sinad_dB: number;
  /** Rms inside the band of all that is neither the fundamental nor one of its harmonics 2..20. */
  readonly noise_rms: number;
  readonly dc: number;
  /** Largest absolute sample. */
  readonly peak: number;
  readonly crest_factor: number;
  readonly harmonics: readonly Harmonic[];
  readonly harmonics_in_band: number;
  readonly band_Hz: Band;
  /** Parts per million by which the found frequency differs from the expected one; null when none was expected. */
  readonly clock_ppm: number | null;
  readonly gaps: readonly Gap[];
  readonly flags: readonly FlagCode[];
}
