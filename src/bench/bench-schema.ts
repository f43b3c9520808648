import { z } from 'zod';
import { plausibleFullScale } from '../calibration/record-schema.js';
import { fullScale, identifier, label, prose, quantity, whole, yesOrNo } from '../schema/fields.js';
import { interfaceSchema } from './kinds.js';

/*
 * The bench file as written: every key, its unit and its limits. benches/README.md says what each means.
 * Values that a calibration record may give instead are optional here; `channelChain` wants one of the two.
 */

/** What attenuators stand, within what there is. Common practice, no source. */
const LEAST_RATING_Vpk = 0.1;
const MOST_RATING_Vpk = 100_000;

const record = identifier().optional();
const uncertainty = quantity('%', { min: 0, max: 100 }).optional();
/**
 * A value that a record can give instead. `measured: {record: NAME}` is what one writes who has just written
 * `floor: {record: NAME}`.
 */
function unlessRecord<T>(key: string, field: z.ZodType<T>): z.ZodType<T> {
  return z.preprocess((input, context) => {
    if (typeof input !== 'object' || input === null || !('record' in input)) return input;
    context.addIssue({
      code: 'custom',
      message: `a record stands beside the other keys here; write 'record: NAME' in place of '${key}'`,
    });
    return z.NEVER;
  }, field) as z.ZodType<T>;
}

const interfaceChannel = whole(1, 256).optional();

const load = z.strictObject({
  label: label(60).optional(),
  nominal: quantity('ohm', { min: 0.1, max: 10_000 }),
  measured: unlessRecord('measured', quantity('ohm', { min: 0.01, max: 100_000 })).optional(),
  off_nominal: yesOrNo.optional(),
  temperature: quantity('degC', { min: -50, max: 500 }).optional(),
  rating: quantity('W', { positive: true, max: 1e6 }).optional(),
  short_rating: quantity('W', { positive: true, max: 1e6 }).optional(),
  thermal: quantity('s', { min: 1, max: 36_000 }).optional(),
  inductance: quantity('H', { min: 0, max: 0.1 }).optional(),
  tempco: quantity('1/K', { min: -0.01, max: 0.01 }).optional(),
  heating: quantity('K/W', { min: 0, max: 1000 }).optional(),
  warming_limits: quantity('1', { min: 0, max: 1 }).optional(),
  uncertainty,
  record,
});

const converter = z.strictObject({
  channel: interfaceChannel,
  full_scale: unlessRecord('full_scale', plausibleFullScale()).optional(),
  uncertainty,
  record,
});

/** A shunt in series with the load, on an interface input of its own. */
const current = z.strictObject({
  channel: whole(1, 256),
  full_scale: plausibleFullScale(),
  shunt: unlessRecord('shunt', quantity('ohm', { min: 1e-5, max: 10 })).optional(),
  uncertainty,
  record,
});

export const channelSchema = z.strictObject({
  output: converter,
  input: converter,
  attenuator: z.strictObject({
    ratio: unlessRecord('ratio', quantity('1', { min: 1, max: 100_000 })).optional(),
    rating: fullScaleOrPeak().optional(),
    uncertainty,
    record,
  }),
  load: z.union([load, z.array(load).min(1).max(20)]),
  current: current.optional(),
  response: z.strictObject({ record: identifier() }).optional(),
  flatness: quantity('dB', { min: 0, max: 20 }).optional(),
});

/** A rating in volts carries the word `rms` or `peak` for the same reason as a full scale does. */
function fullScaleOrPeak() {
  return fullScale('a voltage rating such as 100 V rms or 141 V peak').refine(
    (rating_Vpk) => rating_Vpk >= LEAST_RATING_Vpk && rating_Vpk <= MOST_RATING_Vpk,
    `no attenuator has such a rating; expected one from ${LEAST_RATING_Vpk} V to ${MOST_RATING_Vpk} V peak: was another prefix meant?`,
  );
}

const shared = z.strictObject({
  count: whole(1, 64),
  all: channelSchema,
  overrides: z
    .array(channelSchema.partial().extend({ channel: whole(1, 64) }))
    .max(64)
    .optional(),
});

/** Limits are in the sensor's own unit, which may be any word: a bare number, or one with that word behind it. */
const probeLimit = z.union([z.number(), z.string().min(1).max(64)]).optional();

const sensor = z.strictObject({
  name: identifier(),
  argv: z.array(z.string().min(1).max(4000)).min(1).max(200).optional(),
  simulated: label(40).optional(),
  unit: label(12).optional(),
  every: quantity('s', { min: 1, max: 3600 }).optional(),
  timeout: quantity('s', { min: 0.1, max: 3600 }).optional(),
  high: probeLimit,
  low: probeLimit,
  needed: yesOrNo.optional(),
});

/** Highest voltages of any unit that a bench meets, within what there is. Common practice, no source. */
const supplyVolts = quantity('V', { min: 1, max: 10_000 }).optional();

const unitSupply = z.strictObject({
  outputs: z.enum(['single-ended', 'bridged', 'transformer']),
  rails: supplyVolts,
  single: supplyVolts,
  fault: supplyVolts,
});

export const benchSchema = z.strictObject({
  name: label(100),
  about: prose().optional(),
  interface: interfaceSchema,
  assumed_gain: quantity('dB', { min: 0, max: 80 }).optional(),
  dc_limit: quantity('V', { positive: true, max: 100 }).optional(),
  unit_supply: unitSupply.optional(),
  shared_inputs: yesOrNo.optional(),
  dc_coupled: yesOrNo.optional(),
  probes: z.array(sensor).min(1).max(16).optional(),
  energy_limit: quantity('J', { positive: true, max: 1e12 }).optional(),
  time_limit: quantity('s', { positive: true, max: 7 * 86_400 }).optional(),
  dropout_limit: whole(0, 10_000).optional(),
  floor: z
    .union([quantity('%', { positive: true, max: 100 }), z.strictObject({ record: identifier() })])
    .optional(),
  channels: z.union([shared, z.array(channelSchema).min(1).max(64)]),
});

export type ChannelKeys = z.output<typeof channelSchema>;
export type LoadKeys = z.output<typeof load>;
export type UnitSupplyKeys = z.output<typeof unitSupply>;
export type SensorKeys = z.output<typeof sensor>;
export type ChannelsKeys = z.output<typeof benchSchema>['channels'];
