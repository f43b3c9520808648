import { z } from 'zod';
import { FLAGS, type FlagCode } from '../measure/flags.js';

/*
 * Fields of the documents in a bundle. Every number has bounds and every text a length; how a text is made fit for a
 * terminal or a page is the business of what shows it.
 */

/** A finite number. */
export const number = z.number();

/** A number, or one of those that JSON has no sign for, as `toJson` writes them. */
export const figure = z.union([
  number,
  z
    .strictObject({ number: z.enum(['NaN', 'Infinity', '-Infinity']) })
    .transform(({ number }) => Number(number)),
]);

export const maybe = figure.nullable();

/** A counting number that SQLite and JavaScript keep alike. */
export const count = z
  .int()
  .min(0)
  .max(2 ** 31);
export const channel = z.int().min(1).max(4096);
export const channels = z.array(channel).max(64);

/** Of a step, a bench, a person. */
export const name = z.string().max(2000);
/** Sentences. */
export const prose = z.string().max(100_000);

/** ISO 8601 in UTC, as the program writes it. */
export const moment = z
  .string()
  .regex(
    /^(\d{4}|[+-]\d{6})-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?Z$/,
    'no moment in UTC such as 2026-03-01T10:00:00.000Z',
  );

export const sha256 = z.string().regex(/^[0-9a-f]{64}$/, 'no SHA-256 in 64 lower-case hexadecimal digits');

export const flags = z.array(z.enum(Object.keys(FLAGS) as [FlagCode, ...FlagCode[]])).max(64);
