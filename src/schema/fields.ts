import { z } from 'zod';
import { formatQuantity } from '../units/format.js';
import { BadQuantity, parseFullScale, parseQuantity, quoted } from '../units/parse.js';
import type { Quantity, Unit, Volts } from '../units/quantity.js';
import { UNIT_RULES } from '../units/unit-rules.js';

/** Limits in the base unit of the quantity, both inclusive. */
export interface QuantityLimits {
  readonly min?: number;
  readonly max?: number;
  /** Zero and below are refused. */
  readonly positive?: boolean;
}

function rangeComplaint(value: number, unit: Unit, limits: QuantityLimits): string | null {
  if (limits.positive && value <= 0) return 'above zero';
  const print = (limit: number) => formatQuantity(limit, unit, { figures: 6, trim: true });
  if (limits.min !== undefined && value < limits.min) return `of at least ${print(limits.min)}`;
  if (limits.max !== undefined && value > limits.max) return `of at most ${print(limits.max)}`;
  return null;
}

/**
 * A field over a text, from a reader that throws BadQuantity.
 *
 * @param expected what would be right, with an example
 * @param bare what to say about a number without unit
 */
export function readerField<T>(read: (text: string) => T, expected: string, bare: string): z.ZodType<T> {
  return z.unknown().transform((input, context) => {
    const complain = (message: string) => {
      context.addIssue({ code: 'custom', message });
      return z.NEVER;
    };
    if (input === undefined) return complain(`is missing; give ${expected}`);
    if (typeof input === 'number' && !Number.isFinite(input))
      return complain(`expected ${expected}, got a number beyond all bounds`);
    if (typeof input === 'number')
      return complain(`expected ${expected}, got the bare number ${input}; ${bare}`);
    if (typeof input !== 'string') return complain(`expected ${expected}`);
    try {
      return read(input);
    } catch (error) {
      if (!(error instanceof BadQuantity)) throw error;
      const { what, mend } = error.explanation;
      return complain(mend ? `${what}; ${mend}` : what);
    }
  }) as z.ZodType<T>;
}

/**
 * A text with a unit, such as `50 mW`; gives the value in the base unit. A bare number is refused,
 * except for plain ratios (unit `1`), which need none.
 */
export function quantity<U extends Unit>(unit: U, limits: QuantityLimits = {}): z.ZodType<Quantity<U>> {
  const { noun, example } = UNIT_RULES[unit];
  const read = (text: string) => {
    const value = parseQuantity(text, unit);
    const range = rangeComplaint(value, unit, limits);
    if (range) throw new BadQuantity({ what: `expected ${noun} ${range}, got ${quoted(text)}` });
    return value;
  };
  const field = readerField(read, `${noun} such as ${example}`, 'give the unit');
  if (unit !== '1') return field;
  return z.preprocess((input) => (typeof input === 'number' ? String(input) : input), field) as z.ZodType<
    Quantity<U>
  >;
}

/**
 * Volts with the word `rms` or `peak`, as at digital full scale; gives peak volts.
 *
 * @param expected what would be right, for another use than full scale
 */
export function fullScale(
  expected = 'a full-scale voltage such as 4 V rms or 5.66 V peak',
): z.ZodType<Volts> {
  const read = (text: string) => parseFullScale(text, expected);
  return readerField(read, expected, "give the unit and one of the words 'rms' and 'peak'");
}

/** A text without line breaks or control characters, for names and labels. */
export function label(most = 200): z.ZodType<string> {
  return textWithout(/\p{Cc}/u, most, 'line breaks or control characters');
}

/** A text of several lines for people to read. */
export function prose(most = 4000): z.ZodType<string> {
  return textWithout(/(?![\n\t])\p{Cc}/u, most, 'control characters');
}

const textWithout = (refused: RegExp, most: number, what: string): z.ZodType<string> =>
  z
    .string()
    .min(1)
    .max(most)
    .refine((text) => !refused.test(text), `the text has ${what} in it; take them out`);

/** A short word to refer to something by: letters, digits, dots and dashes, starting with a letter or digit. */
export function identifier(): z.ZodType<string> {
  return z
    .string()
    .max(64)
    .regex(
      /^[A-Za-z0-9][A-Za-z0-9._-]*$/,
      "not a name to refer to; use letters, digits, '.', '_' and '-' only, as in climb-1k",
    );
}

/** A whole number. */
export function whole(min: number, max: number): z.ZodType<number> {
  return z.int().min(min).max(max);
}

/** YAML 1.2 reads these two words as text. */
export const yesOrNo = z.enum(['yes', 'no']).or(z.boolean());

/** What such a key says; left out: no. */
export const isYes = (answer: z.output<typeof yesOrNo> | undefined): boolean =>
  answer === true || answer === 'yes';
