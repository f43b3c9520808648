import { z } from 'zod';

/*
 * Fields of what a run consists of, wherever it comes from: bundle, journal, database. Every text has a length; how a text is made fit
 * for a terminal or a page is the business of what shows it.
 */

/** A finite number. */
export const number = z.number();

/** Any number, those that JSON has no sign for among them. */
export const figure = z.custom<number>((value) => typeof value === 'number', 'no number');

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
/** A name that a program gives: of a quantity, a flag, a kind. Which of them are known is another question. */
export const code = z.string().regex(/^[a-z][a-zA-Z0-9-]{0,99}$/, 'no name that a program gives');

/** ISO 8601 in UTC, as the program writes it. */
export const moment = z
  .string()
  .regex(
    /^(\d{4}|[+-]\d{6})-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?Z$/,
    'no moment in UTC such as 2026-03-01T10:00:00.000Z',
  );

export const sha256 = z.string().regex(/^[0-9a-f]{64}$/, 'no SHA-256 in 64 lower-case hexadecimal digits');

/** A pair of frequencies or of powers. */
export const span = z.tuple([figure, figure]);

/** What a schema reads, for nobody to change. */
export type Read<Schema extends z.ZodType> = Frozen<z.output<Schema>>;

type Frozen<T> = unknown extends T
  ? T
  : T extends string | number | boolean | null | undefined
    ? T
    : { readonly [K in keyof T]: Frozen<T[K]> };
