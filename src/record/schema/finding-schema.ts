import { z } from 'zod';
import type { Budget } from '../../measure/budget.js';
import type { Cause } from '../../measure/cause/question.js';
import { FLAGS, type FlagCode } from '../../measure/flags.js';
import { STEP_KINDS } from '../../sequence/step-base.js';
import { QUANTITIES, type QuantityName, type QuantityTraits } from '../quantities.js';
import { reasonSchema, remarkSchema } from '../reasons.js';
import { channel, channels, code, count, figure, maybe, name, number, prose, span } from './fields.js';

export const budgetSchema: z.ZodType<Budget> = z.strictObject({
  quantity: z.enum(['power', 'voltage', 'thdn', 'frequency']),
  value: figure,
  unit: z.enum(['W', 'V', '%', 'Hz']),
  components: z
    .array(
      z.strictObject({
        source: prose,
        type: z.enum(['A', 'B']),
        distribution: z.enum(['normal', 'rectangular', 'triangular']),
        standard_percent: figure,
        freedom: maybe,
        sensitivity: figure,
      }),
    )
    .max(1000),
  missing: z.array(prose).max(1000),
  standard_percent: maybe,
  freedom: maybe,
  coverage_factor: figure,
  expanded_percent: maybe,
  expanded: maybe,
});

export const causeSchema: z.ZodType<Cause> = z.strictObject({
  cause: z.enum([
    'supply-sag',
    'rail-clipping',
    'current-limit',
    'slew-limit',
    'output-filter',
    'crossover',
    'protection',
    'heat',
    'not-clear',
  ]),
  confidence: figure,
  evidence: z.array(prose).max(1000),
});

export const flagsSchema = z.array(z.enum(Object.keys(FLAGS) as [FlagCode, ...FlagCode[]])).max(64);

const envelope = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('silence') }),
  z.strictObject({ kind: z.literal('steady') }),
  z.strictObject({ kind: z.literal('burst'), on_s: figure, period_s: figure }),
]);

/** What a figure is subject to. A field that does not apply is left out. */
const terms = z.strictObject({
  /** The THD+N limit. */
  threshold_percent: figure.exactOptional(),
  weighting: z.enum(['none', 'A']).exactOptional(),
  /** The measuring band. */
  band_Hz: span.exactOptional(),
  /** The frequencies that an extreme was looked for among. */
  over_Hz: span.exactOptional(),
  /** How long the level was held. */
  seconds: figure.exactOptional(),
  /** Width of the final bracket in dB of power. */
  bracket_dB: figure.exactOptional(),
  /** Lowest power that was tried, watts: below it nothing is known. */
  from_W: figure.exactOptional(),
  /** What governs the plateau before the knee. */
  governed_by: z.enum(['noise', 'harmonics']).exactOptional(),
  /** Of what lies below a maximum power: decibels between the two levels furthest apart. Something narrower may go unseen. */
  step_dB: figure.exactOptional(),
  /** Of a knee: THD+N stays over so many times the trend of the lower levels, which explains those within so much. */
  trend_factor: figure.exactOptional(),
  trend_within_percent: figure.exactOptional(),
  /** The channel that decides a figure of all channels together. */
  deciding_channel: channel.exactOptional(),
  /** Of hum. */
  mains_Hz: figure.exactOptional(),
  /** Captures that the search took, all channels together. */
  captures: count.exactOptional(),
});

const VALUES = {
  number: figure,
  intervals: z.array(span).max(10_000),
  causes: z.array(causeSchema).max(100),
} satisfies Readonly<Record<QuantityTraits['holds'], z.ZodType>>;

/** Where a finding was made. */
const setting = {
  step: name,
  /** From 1; null for all driven channels together. */
  channel: channel.nullable(),
  driven: channels,
  /** Nominal. */
  load_ohm: number,
  /** Mains voltage that the operator had set; null: as it came. */
  mains_V: number.nullable(),
  /** Cell of a repetition, in words; empty outside of any. */
  cell: name,
};

/** What was played, as it is remembered. */
const stimulus = {
  /** One for a sine, two for intermodulation, none for silence. Of an extreme over a band: where it lay. */
  lines_Hz: z.array(figure).max(1000),
  /** The preferred frequency that the first line stands for; null without one. */
  nominal_Hz: maybe,
};

/** What is the same in a finding of any version. */
const fixed = {
  /** Expanded, in the quantity's unit; its budget says with which k. Null where it is not stated. */
  uncertainty: maybe,
  /** Numbers of the points that it rests on. */
  points: z.array(count).max(200_000),
};

/** A finding that this version knows in every part. */
export const findingSchema = z
  .strictObject({
    quantity: z.enum(Object.keys(QUANTITIES) as [QuantityName, ...QuantityName[]]),
    /** How the value came from the readings that it rests on. `first` and `last` are those of a hold. */
    statistic: z.enum(['value', 'minimum', 'maximum', 'first', 'last', 'at-threshold', 'difference']),
    /** Null when there is none: `why` says why. */
    value: z.union([VALUES.number, VALUES.intervals, VALUES.causes]).nullable(),
    /** `at-least`, `at-most`: the search ended at a limit, which `why` names. */
    bound: z.enum(['found', 'at-least', 'at-most']),
    /** Why there is no value, or only a bound; null for a value that was found. */
    why: reasonSchema.nullable(),
    ...fixed,
    /** Of the value first, then of what belongs to it (volts, THD+N, frequency); empty where none was drawn up. */
    budgets: z.array(budgetSchema).max(100),
    setting: z.strictObject({ ...setting, step_kind: z.enum(STEP_KINDS) }),
    stimulus: z.strictObject({ ...stimulus, envelope }),
    terms,
    flags: flagsSchema,
    /** What else belongs to the figure, coded. */
    remarks: z.array(remarkSchema).max(1000),
  })
  .refine(
    ({ quantity, value }) => value === null || VALUES[QUANTITIES[quantity].holds].safeParse(value).success,
    'its value is not of the kind that its quantity has',
  );

/**
 * A finding as it may stand in a file, also one of a later version: what is fixed in it is fixed, and names may be any.
 */
export const storedFindingSchema = z.strictObject({
  quantity: code,
  statistic: code,
  value: z.unknown(),
  bound: code,
  why: z.looseObject({ code }).nullable(),
  ...fixed,
  budgets: z.array(z.unknown()).max(100),
  setting: z.strictObject({ ...setting, step_kind: code }),
  stimulus: z.strictObject({ ...stimulus, envelope: z.looseObject({ kind: code }) }),
  terms: z.looseObject({}),
  flags: z.array(code).max(64),
  remarks: z.array(z.looseObject({ code })).max(1000),
});
