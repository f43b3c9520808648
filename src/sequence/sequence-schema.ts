import { z } from 'zod';
import { identifier, label, prose, quantity } from '../schema/fields.js';
import { purposeFields } from '../schema/sequence-purpose.js';
import { levelField } from './level-field.js';
import { LEAST } from './parse-amount.js';
import { bandField, drivenField, frequenciesField, frequencyField, topField } from './written-fields.js';

const load = quantity('ohm', { min: 0.1, max: 10_000 });
/** From a toy on a car battery to a unit on two phases. */
const mains = quantity('V', { min: 10, max: 600 });

/** What the header sets for all steps and a step may set for itself. */
const setting = {
  load: load.optional(),
  driven: drivenField.optional(),
  mains: mains.optional(),
  band: bandField.optional(),
};

/** The file without its steps. */
export const headerSchema = z.strictObject({
  name: label(100),
  about: prose(4000).optional(),
  ...purposeFields,
  ...setting,
  steps: z.array(z.unknown()).min(1).max(200),
});

const threshold = quantity('%', { min: 1e-6, max: 50 });
const power = quantity('W', { positive: true, min: LEAST.W });

export const climbSchema = z.strictObject({
  id: identifier().optional(),
  frequency: frequencyField,
  from: power.optional(),
  to: topField.optional(),
  marks: z.array(threshold).min(1).max(20).optional(),
  stop: threshold.optional(),
  ...setting,
});

export const sweepSchema = z.strictObject({
  id: identifier().optional(),
  level: levelField,
  frequencies: frequenciesField,
  hold: z.enum(['power', 'drive']).optional(),
  ...setting,
});

export const maxPowerSchema = z.strictObject({
  id: identifier().optional(),
  threshold,
  frequencies: frequenciesField,
  from: power.optional(),
  to: topField.optional(),
  start: levelField.optional(),
  ...setting,
});

const LONGEST_s = 24 * 3600;
const time = quantity('s', { positive: true, max: LONGEST_s });

const held = {
  id: identifier().optional(),
  level: levelField,
  for: quantity('s', { min: 1, max: LONGEST_s }),
  every: quantity('s', { min: 1, max: LONGEST_s }).optional(),
  ...setting,
};

export const holdSchema = z.strictObject({ frequency: frequencyField, ...held });
export const warmUpSchema = z.strictObject({ frequency: frequencyField.optional(), ...held });

const limit = quantity('V', { positive: true, max: 100 });

export const quietSchema = z.strictObject({
  id: identifier().optional(),
  for: quantity('s', { min: 1, max: 3600 }),
  most_dc: limit.optional(),
  most_noise: limit.optional(),
  ...setting,
});

const several = <T>(item: z.ZodType<T>) => z.array(item).min(1).max(20).optional();

export const repeatSchema = z.strictObject({
  loads: several(load),
  driven: several(drivenField),
  mains: several(mains),
  steps: z.array(z.unknown()).min(1).max(200),
});

export const askField = prose(1000);
export const restField = time;

export type Header = z.output<typeof headerSchema>;
export type ClimbKeys = z.output<typeof climbSchema>;
export type SweepKeys = z.output<typeof sweepSchema>;
export type MaxPowerKeys = z.output<typeof maxPowerSchema>;
/** Of a hold and of a warm-up. */
export type HoldKeys = z.output<typeof holdSchema>;
export type QuietKeys = z.output<typeof quietSchema>;
export type RepeatKeys = z.output<typeof repeatSchema>;
