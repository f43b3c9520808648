import { z } from 'zod';
import type { Budget } from '../../measure/budget.js';
import type { Cause } from '../../measure/cause/question.js';
import { FLAGS, type FlagCode } from '../../measure/flags.js';
import { STEP_KINDS } from '../../sequence/step-base.js';
import { type Finding, STATISTICS, type Terms } from '../finding.js';
import { QUANTITIES, type QuantityName, type QuantityTraits } from '../quantities.js';
import type { Reason, Remark } from '../reasons.js';
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

const shown = z.strictObject({ power_W: figure, thdn_percent: figure });

const end = z.discriminatedUnion('by', [
  z.strictObject({ by: z.literal('step-limit'), limit_W: figure }),
  z.strictObject({ by: z.literal('load-rating'), limit_W: figure }),
  z.strictObject({ by: z.literal('interface-full-scale') }),
  z.strictObject({ by: z.literal('output-stopped-following') }),
  z.strictObject({ by: z.literal('cut-short') }),
]);

/** One schema a code: a code without one does not compile. */
type ByCode<T extends { readonly code: string }> = {
  readonly [C in T['code']]: z.ZodType<Extract<T, { code: C }>>;
};

const REASONS: ByCode<Reason> = {
  'never-below': z.strictObject({ code: z.literal('never-below'), best_percent: figure, best_W: figure }),
  'not-reached': z.strictObject({ code: z.literal('not-reached'), end, reached_W: figure }),
  changed: z.strictObject({ code: z.literal('changed'), first: shown, again: shown }),
  'other-channel-clipped': z.strictObject({ code: z.literal('other-channel-clipped') }),
  'not-read-at-once': z.strictObject({ code: z.literal('not-read-at-once') }),
  'too-few-readings': z.strictObject({ code: z.literal('too-few-readings') }),
  'no-knee': z.strictObject({ code: z.literal('no-knee') }),
  'in-words': z.strictObject({ code: z.literal('in-words'), text: prose }),
};

const REMARKS: ByCode<Remark> = {
  'load-seen': z.strictObject({ code: z.literal('load-seen'), low_ohm: figure, high_ohm: figure }),
  'load-warm': z.strictObject({ code: z.literal('load-warm'), rise_K: figure }),
  interrupted: z.strictObject({ code: z.literal('interrupted'), after_s: figure }),
  'broke-off': z.strictObject({ code: z.literal('broke-off'), after_s: figure }),
  'in-words': z.strictObject({ code: z.literal('in-words'), text: prose }),
};

const envelope = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('silence') }),
  z.strictObject({ kind: z.literal('steady') }),
  z.strictObject({ kind: z.literal('burst'), on_s: figure, period_s: figure }),
]);

/** Every term, so that none is forgotten here. */
const TERMS = {
  threshold_percent: figure,
  weighting: z.enum(['none', 'A']),
  band_Hz: span,
  over_Hz: span,
  seconds: figure,
  bracket_dB: figure,
  from_W: figure,
  governed_by: z.enum(['noise', 'harmonics']),
  deciding_channel: channel,
  mains_Hz: figure,
  captures: count,
  step_dB: figure,
  trend_factor: figure,
  trend_within_percent: figure,
} satisfies { readonly [K in keyof Terms]-?: z.ZodType<NonNullable<Terms[K]>> };

const exactOptional = Object.fromEntries(
  Object.entries(TERMS).map(([term, schema]) => [term, (schema as z.ZodType).exactOptional()]),
);

const VALUES: Readonly<Record<QuantityTraits['holds'], z.ZodType<NonNullable<Finding['value']>>>> = {
  number: figure,
  intervals: z.array(span).max(10_000),
  causes: z.array(causeSchema).max(100),
};

const setting = {
  step: name,
  channel: channel.nullable(),
  driven: channels,
  load_ohm: number,
  mains_V: number.nullable(),
  cell: name,
};

/** A finding that this version knows in every part. */
export const findingSchema: z.ZodType<Finding> = z
  .strictObject({
    quantity: z.enum(Object.keys(QUANTITIES) as [QuantityName, ...QuantityName[]]),
    statistic: z.enum(STATISTICS),
    value: z.union(Object.values(VALUES)).nullable(),
    bound: z.enum(['found', 'at-least', 'at-most']),
    why: z.union(Object.values(REASONS)).nullable(),
    uncertainty: maybe,
    budgets: z.array(budgetSchema).max(100),
    setting: z.strictObject({ ...setting, step_kind: z.enum(STEP_KINDS) }),
    stimulus: z.strictObject({
      lines_Hz: z.array(figure).max(1000),
      nominal_Hz: maybe,
      envelope,
    }),
    terms: z.strictObject(exactOptional) as unknown as z.ZodType<Terms>,
    points: z.array(count).max(200_000),
    flags: flagsSchema,
    remarks: z.array(z.union(Object.values(REMARKS))).max(1000),
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
  uncertainty: maybe,
  budgets: z.array(z.unknown()).max(100),
  setting: z.strictObject({ ...setting, step_kind: code }),
  stimulus: z.strictObject({
    lines_Hz: z.array(figure).max(1000),
    nominal_Hz: maybe,
    envelope: z.looseObject({ kind: code }),
  }),
  terms: z.looseObject({}),
  points: z.array(count).max(200_000),
  flags: z.array(code).max(64),
  remarks: z.array(z.looseObject({ code })).max(1000),
});
