import type { Band } from '../../measure/analysis.js';
import type { Finding } from '../../record/finding.js';

/** The distortions that a rating is given at, percent. */
export const RATING_LIMITS = [0.1, 1] as const;
/** The band that a rating has to be kept over. */
export const RATING_BAND = [20, 20_000] as const;
/** Where the trade looks first. */
export const MIDDLE_Hz = 1000;

/** A power with the place that decides it: the weakest channel, over a band at its weakest frequency. */
export interface RatedPower {
  readonly power_W: number;
  readonly uncertainty_W: number | null;
  /** What was read or found at the deciding place itself: more than `power_W` where another frequency was checked a little below. */
  readonly here_W: number;
  readonly frequency_Hz: number;
  readonly nominal_Hz: number;
  readonly channel: number;
  readonly step: string;
  /** The measuring band there. */
  readonly band_Hz: Band;
  /** Points that it rests on. */
  readonly points: readonly number[];
  /**
   * `found`: at the limit itself; `at-least`: the run did not drive the unit up to the limit there; `at-most`: another step
   * exceeded the limit at less power than was found, and nothing tells how much less the unit keeps.
   */
  readonly bound: 'found' | 'at-least' | 'at-most';
  /** Harmonics lie outside the measuring band somewhere: the distortion may be higher than read. */
  readonly blind: boolean;
  /** It rests on readings that were not as before. */
  readonly changed: boolean;
}

/** What a unit gives at one distortion limit under one setting. */
export interface Rating {
  readonly limit_percent: number;
  /** Highest power kept from 20 Hz to 20 kHz; null when not all of the band was tried. */
  readonly band: RatedPower | null;
  /** What of the band was not tried, in words. */
  readonly untried: readonly string[];
  readonly at_1kHz: RatedPower | null;
  /** Highest preferred number (R20) that every channel meets with its guard band at every frequency; null without a band or uncertainty. */
  readonly conservative_W: number | null;
}

/** One load with one set of driven channels. */
export interface SettingRating {
  readonly load_ohm: number;
  readonly driven: readonly number[];
  readonly ratings: readonly Rating[];
  /** Of the climb nearest to 1 kHz, the channel whose knee comes first; null without a climb. */
  readonly knee: Finding | null;
}

/** The power of one setting beside that of another, at the same limit. */
export interface PowerRatio {
  readonly limit_percent: number;
  /** Whether it is the power over the band or that at 1 kHz. */
  readonly of: 'band' | '1 kHz';
  readonly from: { readonly load_ohm: number; readonly driven: readonly number[] };
  readonly to: { readonly load_ohm: number; readonly driven: readonly number[] };
  readonly ratio: number;
  readonly ratio_dB: number;
}

export interface Ratings {
  /** Of several mains voltages the highest, which all of this is for; null where there were not several. */
  readonly mains_V: number | null;
  readonly settings: readonly SettingRating[];
  /** From fewer channels driven to more, into the same load: dB below 0 are lost. */
  readonly by_driven: readonly PowerRatio[];
  /** From more ohms to fewer, with the same channels driven: a supply without sag gives the ratio of the loads. */
  readonly by_load: readonly PowerRatio[];
}
