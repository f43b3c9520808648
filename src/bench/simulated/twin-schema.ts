import { z } from 'zod';
import { label, prose, quantity, whole } from '../../schema/fields.js';

/*
 * The twin file as written: every key, its unit and its limits. Defaults are filled in by `readTwin`, so
 * that an override can tell what it does not mention. benches/twins/README.md says what each key means.
 */

const curvature = z.strictObject({
  second: quantity('%', { min: 0, max: 10 }).optional(),
  third: quantity('%', { min: 0, max: 10 }).optional(),
  at: quantity('V', { positive: true, max: 1000 }),
});

const crossover = z.strictObject({
  missing: quantity('V', { min: 0, max: 10 }),
  softness: quantity('A', { min: 0, max: 10 }).optional(),
});

const filter = z.strictObject({
  inductance: quantity('H', { min: 1e-8, max: 0.1 }),
  capacitance: quantity('F', { min: 1e-10, max: 1e-3 }),
  resistance: quantity('ohm', { min: 0, max: 100 }).optional(),
});

const output = z.strictObject({
  kind: z.enum(['linear', 'switching']).optional(),
  drop: quantity('V', { min: 0, max: 100 }).optional(),
  negative_drop: quantity('V', { min: 0, max: 100 }).optional(),
  on_resistance: quantity('ohm', { min: 0, max: 100 }).optional(),
  softness: quantity('%', { min: 0, max: 50 }).optional(),
  current_limit: quantity('A', { positive: true, max: 1000 }).optional(),
  slew: quantity('V/us', { positive: true, max: 10_000 }).optional(),
  resistance: quantity('ohm', { min: 0, max: 100 }).optional(),
  offset: quantity('V', { min: -10, max: 10 }).optional(),
  quiescent: quantity('A', { min: 0, max: 20 }).optional(),
  filter: filter.optional(),
});

const channelKeys = {
  gain: quantity('dB', { min: -60, max: 100 }).optional(),
  noise: quantity('V', { min: 0, max: 1 }).optional(),
  coupling: quantity('Hz', { min: 0, max: 1000 }).optional(),
  curvature: curvature.optional(),
  crossover: crossover.optional(),
  output: output.optional(),
};

const unregulated = z.strictObject({
  mains: quantity('V', { min: 0, max: 1000 }),
  frequency: quantity('Hz', { min: 10, max: 1000 }),
  nominal_mains: quantity('V', { positive: true, max: 1000 }).optional(),
  mains_resistance: quantity('ohm', { min: 0, max: 1000 }).optional(),
  secondary: quantity('V', { positive: true, max: 1000 }),
  resistance: quantity('ohm', { min: 0, max: 1000 }).optional(),
  rectifier_drop: quantity('V', { min: 0, max: 10 }).optional(),
  rectifier: z.enum(['full-wave', 'half-wave']).optional(),
  reservoir: quantity('F', { min: 1e-6, max: 10 }),
  rejection: quantity('dB', { min: 0, max: 200 }).optional(),
});

const supply = z.strictObject({
  regulated: quantity('V', { positive: true, max: 1000 }).optional(),
  negative: quantity('V', { positive: true, max: 1000 }).optional(),
  unregulated: unregulated.optional(),
});

const heat = z.strictObject({
  ambient: quantity('degC', { min: -40, max: 80 }).optional(),
  resistance: quantity('K/W', { min: 0, max: 1000 }).optional(),
  time: quantity('s', { min: 0.1, max: 100_000 }).optional(),
  gain_drift: quantity('1/K', { min: -0.01, max: 0.01 }).optional(),
  quiescent_drift: quantity('1/K', { min: -0.1, max: 0.1 }).optional(),
  shutdown: quantity('degC', { max: 500 }).optional(),
  restart: quantity('degC', { max: 500 }).optional(),
});

const protection = z.strictObject({
  current: quantity('A', { positive: true, max: 1000 }).optional(),
  current_time: quantity('s', { min: 1e-3, max: 3600 }).optional(),
  dc: quantity('V', { positive: true, max: 1000 }).optional(),
  dc_time: quantity('s', { min: 1e-3, max: 3600 }).optional(),
  recloses_after: quantity('s', { positive: true, max: 86_400 }).optional(),
});

const dcFault = z.strictObject({
  channel: whole(1, 64),
  voltage: quantity('V', { min: -1000, max: 1000 }),
  after: quantity('s', { min: 0 }).optional(),
  above: quantity('degC', { max: 500 }).optional(),
});

const converters = z.strictObject({
  output_noise: quantity('V', { min: 0, max: 1 }).optional(),
  input_noise: quantity('V', { min: 0, max: 1 }).optional(),
  second: quantity('%', { min: 0, max: 10 }).optional(),
  third: quantity('%', { min: 0, max: 10 }).optional(),
  bits: whole(8, 32).optional(),
  latency: whole(0, 100_000).optional(),
  coupling: quantity('Hz', { min: 0, max: 100 }).optional(),
});

const deviation = quantity('%', { min: -50, max: 50 }).optional();

const truthKeys = {
  output_level: deviation,
  input_level: deviation,
  attenuator: deviation,
  current: deviation,
  load: deviation,
  tempco: deviation,
  heating: deviation,
  output_corner: quantity('Hz', { min: 1000, max: 1e9 }).optional(),
  input_corner: quantity('Hz', { min: 1000, max: 1e9 }).optional(),
};

const truth = z.strictObject({
  ...truthKeys,
  channels: z
    .array(z.strictObject({ channel: whole(1, 64), ...truthKeys }))
    .max(64)
    .optional(),
});

export const twinSchema = z.strictObject({
  twin: label(),
  about: prose().optional(),
  channels: whole(1, 64).optional(),
  ...channelKeys,
  gain: quantity('dB', { min: -60, max: 100 }),
  supply,
  heat: heat.optional(),
  protection: protection.optional(),
  dc_fault: dcFault.optional(),
  interface: converters.optional(),
  truth: truth.optional(),
  overrides: z
    .array(z.strictObject({ channel: whole(1, 64), ...channelKeys }))
    .max(64)
    .optional(),
});

/** A twin file, read key by key, nothing filled in yet. */
export type TwinDocument = z.infer<typeof twinSchema>;
export type TruthDocument = Omit<NonNullable<TwinDocument['truth']>, 'channels'>;
export type ChannelDocument = Omit<NonNullable<TwinDocument['overrides']>[number], 'channel'>;
