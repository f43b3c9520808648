import { z } from 'zod';
import { identifier, label, prose, quantity } from '../schema/fields.js';
import {
  bandField,
  climbTopField,
  drivenField,
  frequenciesField,
  frequencyField,
  levelField,
} from './written-fields.js';

/** What the header sets for all steps and a step may set for itself. */
const setting = {
  load: quantity('ohm', { min: 0.1, max: 10_000 }).optional(),
  driven: drivenField.optional(),
  band: bandField.optional(),
};

/** The file without its steps. */
export const headerSchema = z.strictObject({
  name: label(100),
  about: prose(4000).optional(),
  ...setting,
  steps: z.array(z.unknown()).min(1).max(200),
});

export const climbSchema = z.strictObject({
  id: identifier().optional(),
  frequency: frequencyField,
  from: quantity('W', { positive: true }).optional(),
  to: climbTopField.optional(),
  marks: z
    .array(quantity('%', { min: 1e-6, max: 50 }))
    .min(1)
    .max(20)
    .optional(),
  stop: quantity('%', { min: 1e-6, max: 50 }).optional(),
  ...setting,
});

export const sweepSchema = z.strictObject({
  id: identifier().optional(),
  level: levelField,
  frequencies: frequenciesField,
  hold: z.enum(['power', 'drive']).optional(),
  ...setting,
});

export const askField = prose(1000);
export const restField = quantity('s', { positive: true, max: 24 * 3600 });

export type Header = z.output<typeof headerSchema>;
export type ClimbKeys = z.output<typeof climbSchema>;
export type SweepKeys = z.output<typeof sweepSchema>;
