import type { Budget } from '../measure/budget.js';
import type { Cause } from '../measure/cause/question.js';
import type { FlagCode } from '../measure/flags.js';

/*
 * What steps concluded as version 0.1 kept it in databases and bundles, and as `show --json` still prints it under
 * `results`. Within the program there are findings only.
 */

interface ResultBase {
  /** Uncertainty budgets of the figures of this result, one a quantity; absent where none was drawn up. */
  readonly budgets?: readonly Budget[];
  readonly step: string;
  readonly channel: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
}

export interface PowerAtThdn extends ResultBase {
  readonly kind: 'power-at-thdn';
  readonly threshold_percent: number;
  readonly frequency_Hz: number;
  /** Null when the threshold was not crossed within the step's limits. */
  readonly power_W: number | null;
  readonly uncertainty_W: number | null;
  /** Width of the final bracket in dB of power. */
  readonly bracket_dB: number | null;
  /** Why there is no figure, or what stands behind it; empty when there is nothing to add. */
  readonly note: string;
}

export interface KneeResult extends ResultBase {
  readonly kind: 'knee';
  readonly frequency_Hz: number;
  readonly power_W: number | null;
  /** Expanded; absent in runs made before it was kept. */
  readonly uncertainty_W?: number | null;
  readonly plateau_percent: number | null;
  readonly governed_by: 'noise' | 'harmonics' | null;
  /** Decibels of power between 0.1 % and 1 %; null when either is missing. */
  readonly hardness_dB: number | null;
  readonly note: string;
}

/** The worst of a sweep: where the level or the distortion gave way. */
export interface BandResult extends ResultBase {
  readonly kind: 'band';
  readonly low_Hz: number;
  readonly high_Hz: number;
  readonly least_power_W: number;
  readonly least_power_Hz: number;
  /** Expanded; absent in runs made before they were kept. */
  readonly least_power_uncertainty_W?: number | null;
  readonly most_thdn_uncertainty_percent?: number | null;
  readonly most_thdn_percent: number;
  readonly most_thdn_Hz: number;
  readonly flags: readonly FlagCode[];
}

/** The highest power that keeps a threshold at one frequency of the band. */
export interface CeilingResult extends ResultBase {
  readonly kind: 'ceiling';
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
  readonly threshold_percent: number;
  /** Null when there is none within the step's limits. */
  readonly power_W: number | null;
  readonly uncertainty_W: number | null;
  readonly bracket_dB: number | null;
  /** Captures that the search of this frequency took, all channels together. */
  readonly captures: number;
  readonly flags: readonly FlagCode[];
  readonly note: string;
}

/** How a level stood over the time of a hold. */
export interface HoldResult extends ResultBase {
  readonly kind: 'hold';
  readonly frequency_Hz: number;
  readonly seconds: number;
  readonly first_W: number;
  readonly last_W: number;
  readonly least_W: number;
  /** Least level within any record, by the envelope of a few cycles, dB below the record's mean. */
  readonly dip_dB: number;
  readonly most_thdn_percent: number;
  readonly most_dc_V: number;
  readonly note: string;
}

/** All driven channels together at the level where the first of them reaches a threshold. `channel` is 0. */
export interface SumResult extends ResultBase {
  readonly kind: 'sum';
  readonly threshold_percent: number;
  readonly frequency_Hz: number;
  readonly power_W: number | null;
  readonly uncertainty_W: number | null;
  /** The channel that got there first. */
  readonly first_channel: number | null;
  readonly note: string;
}

/** Why the power falls short at a frequency, with the evidence. */
export interface CauseResult extends ResultBase {
  readonly kind: 'cause';
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
  readonly causes: readonly Cause[];
}

export type Result =
  | PowerAtThdn
  | KneeResult
  | BandResult
  | CeilingResult
  | HoldResult
  | SumResult
  | CauseResult;
