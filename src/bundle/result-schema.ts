import { z } from 'zod';
import type { Budget } from '../measure/budget.js';
import type { Cause } from '../measure/cause/cause.js';
import type { Result } from '../record/old-results.js';
import { channel, channels, count, figure, flags, maybe, name, number, prose } from './fields.js';

const budget: z.ZodType<Budget> = z.strictObject({
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

const cause: z.ZodType<Cause> = z.strictObject({
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

const base = {
  budgets: z.array(budget).max(100).exactOptional(),
  step: name,
  channel,
  driven: channels,
  load_ohm: number,
};

const powerAtThdn = z.strictObject({
  ...base,
  kind: z.literal('power-at-thdn'),
  threshold_percent: figure,
  frequency_Hz: figure,
  power_W: maybe,
  uncertainty_W: maybe,
  bracket_dB: maybe,
  note: prose,
});

const knee = z.strictObject({
  ...base,
  kind: z.literal('knee'),
  frequency_Hz: figure,
  power_W: maybe,
  uncertainty_W: maybe.exactOptional(),
  plateau_percent: maybe,
  governed_by: z.enum(['noise', 'harmonics']).nullable(),
  hardness_dB: maybe,
  note: prose,
});

const band = z.strictObject({
  ...base,
  kind: z.literal('band'),
  low_Hz: figure,
  high_Hz: figure,
  least_power_W: figure,
  least_power_Hz: figure,
  least_power_uncertainty_W: maybe.exactOptional(),
  most_thdn_uncertainty_percent: maybe.exactOptional(),
  most_thdn_percent: figure,
  most_thdn_Hz: figure,
  flags,
});

const ceiling = z.strictObject({
  ...base,
  kind: z.literal('ceiling'),
  nominal_Hz: figure,
  frequency_Hz: figure,
  threshold_percent: figure,
  power_W: maybe,
  uncertainty_W: maybe,
  bracket_dB: maybe,
  captures: count,
  flags,
  note: prose,
});

const hold = z.strictObject({
  ...base,
  kind: z.literal('hold'),
  frequency_Hz: figure,
  seconds: figure,
  first_W: figure,
  last_W: figure,
  least_W: figure,
  dip_dB: figure,
  most_thdn_percent: figure,
  most_dc_V: figure,
  note: prose,
});

const sum = z.strictObject({
  ...base,
  // No channel: it is of all of them.
  channel: z.literal(0),
  kind: z.literal('sum'),
  threshold_percent: figure,
  frequency_Hz: figure,
  power_W: maybe,
  uncertainty_W: maybe,
  first_channel: channel.nullable(),
  note: prose,
});

const causes = z.strictObject({
  ...base,
  kind: z.literal('cause'),
  nominal_Hz: figure,
  frequency_Hz: figure,
  causes: z.array(cause).max(100),
});

/** Any result of a run. */
export const resultSchema: z.ZodType<Result> = z.discriminatedUnion('kind', [
  powerAtThdn,
  knee,
  band,
  ceiling,
  hold,
  sum,
  causes,
]);
