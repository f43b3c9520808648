import { z } from 'zod';
import { label, prose } from '../schema/fields.js';
import { purposeFields } from '../schema/sequence-purpose.js';
import { loadField, mainsField, settingFields } from './setting-fields.js';
import { drivenField } from './written-fields.js';

/** The file without its steps. */
export const headerSchema = z.strictObject({
  name: label(100),
  about: prose(4000).optional(),
  ...purposeFields,
  ...settingFields,
  steps: z.array(z.unknown()).min(1).max(200),
});

const several = <T>(item: z.ZodType<T>) => z.array(item).min(1).max(20).optional();

export const repeatSchema = z.strictObject({
  loads: several(loadField),
  driven: several(drivenField),
  mains: several(mainsField),
  steps: z.array(z.unknown()).min(1).max(200),
});

export type Header = z.output<typeof headerSchema>;
export type RepeatKeys = z.output<typeof repeatSchema>;
