import { z } from 'zod';
import { channel, channels, count, figure, maybe, name, number, prose, type Read } from './schema/fields.js';
import { budgetSchema, causeSchema, flagsSchema } from './schema/finding-schema.js';

/*
 * What steps concluded as version 0.1 kept it in databases and bundles, and as `show --json` still prints it under
 * `results`. Within the program there are findings only.
 */

const base = {
  /** Uncertainty budgets of the figures of this result, one a quantity; absent where none was drawn up. */
  budgets: z.array(budgetSchema).max(100).exactOptional(),
  step: name,
  channel,
  driven: channels,
  load_ohm: number,
};

/** Why there is no figure, or what stands behind it; empty when there is nothing to add. */
const note = prose;

/** A power at a threshold of THD+N: null when that was not crossed within the step's limits. */
const found = {
  threshold_percent: figure,
  power_W: maybe,
  uncertainty_W: maybe,
  note,
};

const powerAtThdn = z.strictObject({
  ...base,
  kind: z.literal('power-at-thdn'),
  ...found,
  frequency_Hz: figure,
  /** Width of the final bracket in dB of power. */
  bracket_dB: maybe,
});

const knee = z.strictObject({
  ...base,
  kind: z.literal('knee'),
  frequency_Hz: figure,
  power_W: maybe,
  /** Expanded; absent in runs made before it was kept. */
  uncertainty_W: maybe.exactOptional(),
  plateau_percent: maybe,
  governed_by: z.enum(['noise', 'harmonics']).nullable(),
  /** Decibels of power between 0.1 % and 1 %; null when either is missing. */
  hardness_dB: maybe,
  note,
});

/** The worst of a sweep: where the level or the distortion gave way. */
const band = z.strictObject({
  ...base,
  kind: z.literal('band'),
  low_Hz: figure,
  high_Hz: figure,
  least_power_W: figure,
  least_power_Hz: figure,
  /** Expanded; absent in runs made before they were kept. */
  least_power_uncertainty_W: maybe.exactOptional(),
  most_thdn_uncertainty_percent: maybe.exactOptional(),
  most_thdn_percent: figure,
  most_thdn_Hz: figure,
  flags: flagsSchema,
});

/** The highest power that keeps a threshold at one frequency of the band. */
const ceiling = z.strictObject({
  ...base,
  kind: z.literal('ceiling'),
  ...found,
  nominal_Hz: figure,
  frequency_Hz: figure,
  bracket_dB: maybe,
  /** Captures that the search of this frequency took, all channels together. */
  captures: count,
  flags: flagsSchema,
});

/** How a level stood over the time of a hold. */
const hold = z.strictObject({
  ...base,
  kind: z.literal('hold'),
  frequency_Hz: figure,
  seconds: figure,
  first_W: figure,
  last_W: figure,
  least_W: figure,
  /** Least level within any record, by the envelope of a few cycles, dB below the record's mean. */
  dip_dB: figure,
  most_thdn_percent: figure,
  most_dc_V: figure,
  note,
});

/** All driven channels together at the level where the first of them reaches a threshold. */
const sum = z.strictObject({
  ...base,
  // No channel: it is of all of them.
  channel: z.literal(0),
  kind: z.literal('sum'),
  ...found,
  frequency_Hz: figure,
  /** The channel that got there first. */
  first_channel: channel.nullable(),
});

/** Why the power falls short at a frequency, with the evidence. */
const causes = z.strictObject({
  ...base,
  kind: z.literal('cause'),
  nominal_Hz: figure,
  frequency_Hz: figure,
  causes: z.array(causeSchema).max(100),
});

/** Any result of a run. */
export const resultSchema = z.discriminatedUnion('kind', [
  powerAtThdn,
  knee,
  band,
  ceiling,
  hold,
  sum,
  causes,
]);

export type Result = Read<typeof resultSchema>;
type OfKind<Kind extends Result['kind']> = Extract<Result, { kind: Kind }>;
export type PowerAtThdn = OfKind<'power-at-thdn'>;
export type KneeResult = OfKind<'knee'>;
export type BandResult = OfKind<'band'>;
export type CeilingResult = OfKind<'ceiling'>;
export type HoldResult = OfKind<'hold'>;
export type SumResult = OfKind<'sum'>;
export type CauseResult = OfKind<'cause'>;
