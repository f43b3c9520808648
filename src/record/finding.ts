import type { Band } from '../measure/analysis.js';
import type { Budget } from '../measure/budget.js';
import type { Cause } from '../measure/cause/question.js';
import type { FlagCode } from '../measure/flags.js';
import type { StepKindName } from '../sequence/step-base.js';
import type { Envelope } from '../signal/envelope.js';
import type { QuantityName } from './quantities.js';
import type { Reason, Remark } from './reasons.js';

/** A stretch of power, watts, both ends within it. */
export type Interval = readonly [low_W: number, high_W: number];

/** What kind of value a finding has is told by its quantity (`holds`). */
export type Value = number | readonly Interval[] | readonly Cause[];

/** How the value came from the readings that it rests on. `first` and `last` are those of a hold. */
export const STATISTICS = [
  'value',
  'minimum',
  'maximum',
  'first',
  'last',
  'at-threshold',
  'difference',
] as const;

export type Statistic = (typeof STATISTICS)[number];

/** Where a finding was made. */
export interface Setting {
  readonly step: string;
  readonly step_kind: StepKindName;
  /** From 1; null for all driven channels together. */
  readonly channel: number | null;
  readonly driven: readonly number[];
  /** Nominal. */
  readonly load_ohm: number;
  /** Mains voltage that the operator had set; null: as it came. */
  readonly mains_V: number | null;
  /** Cell of a repetition, in words; empty outside of any. */
  readonly cell: string;
}

/** What was played, as it is remembered. */
export interface StimulusWords {
  /** One for a sine, two for intermodulation, none for silence. Of an extreme over a band: where it lay. */
  readonly lines_Hz: readonly number[];
  /** The preferred frequency that the first line stands for; null without one. */
  readonly nominal_Hz: number | null;
  readonly envelope: Envelope;
}

/** What a figure is subject to. A field that does not apply is left out. */
export interface Terms {
  /** The THD+N limit. */
  readonly threshold_percent?: number;
  readonly weighting?: 'none' | 'A';
  /** The measuring band. */
  readonly band_Hz?: Band;
  /** The frequencies that an extreme was looked for among. */
  readonly over_Hz?: Band;
  /** How long the level was held. */
  readonly seconds?: number;
  /** Width of the final bracket in dB of power. */
  readonly bracket_dB?: number;
  /** Lowest power that was tried, watts: below it nothing is known. */
  readonly from_W?: number;
  /** What governs the plateau before the knee. */
  readonly governed_by?: 'noise' | 'harmonics';
  /** Of what lies below a maximum power: decibels between the two levels furthest apart. Something narrower may go unseen. */
  readonly step_dB?: number;
  /** Of a knee: THD+N stays over so many times the trend of the lower levels, which explains those within so much. */
  readonly trend_factor?: number;
  readonly trend_within_percent?: number;
  /** The channel that decides a figure of all channels together. */
  readonly deciding_channel?: number;
  /** Of hum. */
  readonly mains_Hz?: number;
  /** Captures that the search took, all channels together. */
  readonly captures?: number;
}

/** What a step concludes, whatever the step. The one shape that store, bundle, CSV, JSON, tables and charts know. */
export interface Finding {
  readonly quantity: QuantityName;
  readonly statistic: Statistic;
  /** Null when there is none: `why` says why. */
  readonly value: Value | null;
  /** `at-least`, `at-most`: the search ended at a limit, which `why` names. */
  readonly bound: 'found' | 'at-least' | 'at-most';
  /** Why there is no value, or only a bound; null for a value that was found. */
  readonly why: Reason | null;
  /** Expanded, in the quantity's unit; its budget says with which k. Null where it is not stated. */
  readonly uncertainty: number | null;
  /** Of the value first, then of what belongs to it (volts, THD+N, frequency); empty where none was drawn up. */
  readonly budgets: readonly Budget[];
  readonly setting: Setting;
  readonly stimulus: StimulusWords;
  readonly terms: Terms;
  /** Numbers of the points that it rests on. */
  readonly points: readonly number[];
  readonly flags: readonly FlagCode[];
  /** What else belongs to the figure, coded. */
  readonly remarks: readonly Remark[];
}

/**
 * A finding as a file holds it, which may be one of a later version: names may be any, and so may what they say is there. Only what
 * `isKnownFinding` accepts is ever rated, judged, compared or drawn; the rest is shown by its names.
 */
export interface StoredFinding
  extends Pick<Finding, 'uncertainty' | 'points'>,
    Readonly<Record<'quantity' | 'statistic' | 'bound', string>> {
  readonly value?: unknown;
  readonly why: { readonly code: string } | null;
  readonly budgets: readonly unknown[];
  readonly setting: Omit<Setting, 'step_kind'> & { readonly step_kind: string };
  readonly stimulus: Omit<StimulusWords, 'envelope'> & { readonly envelope: { readonly kind: string } };
  readonly terms: object;
  readonly flags: readonly string[];
  readonly remarks: readonly { readonly code: string }[];
}

/** The number of a finding; null when it has none, or holds something else. */
export const numberOf = ({ value }: Pick<Finding, 'value'>): number | null =>
  typeof value === 'number' ? value : null;

/** What a finding is about: two findings of one run with the same key are one and the same figure. */
export function findingKey({ quantity, statistic, setting, stimulus, terms }: Finding): string {
  const { step, channel } = setting;
  return JSON.stringify([
    quantity,
    statistic,
    step,
    channel,
    terms.threshold_percent ?? null,
    terms.weighting ?? null,
    // An extreme over a band is one figure wherever it lies.
    terms.over_Hz ? null : stimulus.nominal_Hz,
  ]);
}
