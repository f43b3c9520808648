import { z } from 'zod';
import { identifier, quantity } from '../schema/fields.js';
import { bandField, drivenField } from './written-fields.js';

export const loadField = quantity('ohm', { min: 0.1, max: 10_000 });
/** From a toy on a car battery to a unit on two phases. */
export const mainsField = quantity('V', { min: 10, max: 600 });

/** What the header sets for all steps and a step may set for itself. */
export const settingFields = {
  load: loadField.optional(),
  driven: drivenField.optional(),
  mains: mainsField.optional(),
  band: bandField.optional(),
};

/** The keys of every step that needs loads. */
export const wiredFields = { id: identifier().optional(), ...settingFields };

const wired = z.strictObject(wiredFields);
export type SettingKeys = z.output<typeof wired>;
