import { z } from 'zod';
import type { Band } from '../measure/analysis.js';
import { identifier, quantity, readerField, whole } from '../schema/fields.js';
import { formatQuantity } from '../units/format.js';
import { BadQuantity, parseQuantity, quoted } from '../units/parse.js';
import type { DrivenRule } from './driven-channels.js';
import type { FrequencyChoice, Spacing } from './frequency-list.js';

/** Least powers and voltages that are any level: far below the noise of every amplifier. Common practice, no source. */
export const LEAST = { W: 1e-9, V: 1e-6 } as const;

/** Reads a power or a voltage that is a level at all. @throws BadQuantity */
export function parseAmount(text: string, unit: 'W' | 'V'): number {
  const value = aboveZero(parseQuantity(text, unit), text);
  if (value >= LEAST[unit]) return value;
  const least = formatQuantity(LEAST[unit], unit, { trim: true });
  throw new BadQuantity({ what: `expected at least ${least}, got ${quoted(text)}` });
}

/** The value, when it is above zero. @throws BadQuantity */
export function aboveZero(value: number, text: string): number {
  if (value > 0) return value;
  throw new BadQuantity({ what: `expected a value above zero, got ${quoted(text)}` });
}

/** `all`, `two` (the first two), `one` (the first), or channel numbers. */
export const drivenField: z.ZodType<DrivenRule> = z.union([
  z.enum(['all', 'two', 'one']),
  z
    .array(whole(1, 64))
    .min(1)
    .refine((list) => new Set(list).size === list.length, 'a channel is listed twice; list each once'),
]);

/** The most that a climb or a ceiling may ask for: two words, or a power. */
export type WrittenTop = 'load rating' | 'claim' | number;

const TOP_WORDS = ['load rating', 'claim'] as const;

/** `load rating`, `claim`, or a power. */
export const topField: z.ZodType<WrittenTop> = readerField(
  (text) => TOP_WORDS.find((word) => word === text.trim()) ?? parseAmount(text, 'W'),
  "a power such as 200 W, or one of 'load rating' and 'claim'",
  'give the unit',
);

/** A longer period than this one's is no business of a power amplifier, and takes minutes to record. */
const LOWEST_Hz = 1;
const HIGHEST_Hz = 1e6;

/** A test frequency. */
export const frequencyField = quantity('Hz', { min: LOWEST_Hz, max: HIGHEST_Hz });

/** `20 Hz to 20 kHz` into its two ends. */
function parseRange(text: string): Band {
  const ends = text.split(/\s+to\s+/);
  if (ends.length !== 2)
    throw new BadQuantity({ what: `expected a band such as 20 Hz to 20 kHz, got ${quoted(text)}` });
  const [low = 0, high = 0] = ends.map((end) => parseQuantity(end, 'Hz'));
  if (low < LOWEST_Hz) throw new BadQuantity({ what: `the band ${quoted(text)} begins below 1 Hz` });
  if (low >= high)
    throw new BadQuantity({ what: `the band ${quoted(text)} is empty`, mend: 'Give the lower end first' });
  return [low, high];
}

/** A band such as `20 Hz to 20 kHz`. */
export const bandField: z.ZodType<Band> = readerField(
  parseRange,
  'a band such as 20 Hz to 20 kHz',
  'give both ends with units',
);

const SPACED = /^(?:R(10|20|40)|(\d{1,2}) per octave)\s+from\s+(.+)$/;

function parseSpaced(text: string): FrequencyChoice {
  const match = SPACED.exec(text.trim());
  const perOctave = Number(match?.[2] ?? 1);
  if (!match || perOctave < 1 || perOctave > 48)
    throw new BadQuantity({
      what: `expected frequencies such as 'R10 from 20 Hz to 20 kHz' (R10, R20, R40 or '3 per octave') or a list, got ${quoted(text)}`,
    });
  const spacing: Spacing = match[1]
    ? { kind: 'preferred', perDecade: Number(match[1]) }
    : { kind: 'octave', perOctave };
  const [low_Hz, high_Hz] = parseRange(match[3]!);
  return { kind: 'band', spacing, low_Hz, high_Hz };
}

const listed = z
  .array(frequencyField)
  .min(1)
  .max(500)
  .transform((frequencies_Hz): FrequencyChoice => ({ kind: 'list', frequencies_Hz }));

const spaced = readerField(
  parseSpaced,
  "frequencies such as 'R10 from 20 Hz to 20 kHz' or a list",
  'give the unit',
);

/** A sweep's frequencies: a spaced band, or a list. */
export const frequenciesField: z.ZodType<FrequencyChoice> = z.union([spaced, listed]);

/** A THD+N threshold. */
export const thresholdField = quantity('%', { min: 1e-6, max: 50 });

/** A power that is a level at all. */
export const powerField = quantity('W', { positive: true, min: LEAST.W });

const LONGEST_s = 24 * 3600;

/** A time in which nothing is read. */
export const timeField = quantity('s', { positive: true, max: LONGEST_s });

/** A time long enough for a record. */
export const readTimeField = quantity('s', { min: 1, max: LONGEST_s });

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
