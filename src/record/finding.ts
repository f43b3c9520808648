import type { Read } from './schema/fields.js';
import type { findingSchema, storedFindingSchema } from './schema/finding-schema.js';

/** What a step concludes, whatever the step. The one shape that store, bundle, CSV, JSON, tables and charts know. */
export type Finding = Read<typeof findingSchema>;

/** How the value came from the readings that it rests on. */
export type Statistic = Finding['statistic'];

/** Where a finding was made. */
export type Setting = Finding['setting'];

/** What was played, as it is remembered. */
export type StimulusWords = Finding['stimulus'];

/** What a figure is subject to. */
export type Terms = Finding['terms'];

/** What kind of value a finding has is told by its quantity (`holds`). */
export type Value = NonNullable<Finding['value']>;

/** A stretch of power, watts, both ends within it. */
export type Interval = readonly [low_W: number, high_W: number];

/**
 * A finding as a file holds it, which may be one of a later version: names may be any, and so may what they say is there. Only what
 * `isKnownFinding` accepts is ever rated, judged, compared or drawn; the rest is shown by its names.
 */
export type StoredFinding = Read<typeof storedFindingSchema>;

/** The number of a finding; null when it has none, or holds something else. */
export const numberOf = ({ value }: Pick<Finding, 'value'>): number | null =>
  typeof value === 'number' ? value : null;

/** What a finding is about: two findings of one run with the same key are one and the same figure, told twice by a step played again. */
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
