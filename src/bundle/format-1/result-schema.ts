import { z } from 'zod';
import type { Result } from '../../record/old-results.js';
import { channel, channels, count, figure, maybe, name, number, prose } from '../../record/schema/fields.js';
import { budgetSchema, causeSchema, flagsSchema } from '../../record/schema/finding-schema.js';

const base = {
  budgets: z.array(budgetSchema).max(100).exactOptional(),
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
  flags: flagsSchema,
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
  flags: flagsSchema,
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
  causes: z.array(causeSchema).max(100),
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
