import { z } from 'zod';
import { figure, prose, type Read } from './schema/fields.js';

/*
 * Codes with the figures that belong to them; the sentences are made on display (`document/model/reason-words.ts`).
 */

/** What ended a search from below. */
const searchEnd = z.discriminatedUnion('by', [
  /** The most that the step may ask for, and what set it. */
  z.strictObject({ by: z.literal('step-limit'), limit_W: figure }),
  z.strictObject({ by: z.literal('load-rating'), limit_W: figure }),
  /** The interface output reached full scale. */
  z.strictObject({ by: z.literal('interface-full-scale') }),
  /** The output no longer followed the drive. */
  z.strictObject({ by: z.literal('output-stopped-following') }),
  /** Ended from outside: the run was interrupted or stopped. */
  z.strictObject({ by: z.literal('cut-short') }),
]);

const shown = z.strictObject({ power_W: figure, thdn_percent: figure });

/** A sentence, as an earlier version kept it. */
const inWords = z.strictObject({ code: z.literal('in-words'), text: prose });

/** Why a finding has no value, or only a bound. */
export const reasonSchema = z.discriminatedUnion('code', [
  /** THD+N was above the limit at every level. */
  z.strictObject({ code: z.literal('never-below'), best_percent: figure, best_W: figure }),
  /** THD+N kept the limit up to the end of the step; `end` says what ended it, `reached_W` what was delivered there. */
  z.strictObject({ code: z.literal('not-reached'), end: searchEnd, reached_W: figure }),
  /** The same level gave something else when it was played again. */
  z.strictObject({ code: z.literal('changed'), first: shown, again: shown }),
  /** The search ended because another channel was far into clipping. */
  z.strictObject({ code: z.literal('other-channel-clipped') }),
  /** Not all driven channels were read at once, so there is no sum at one level. */
  z.strictObject({ code: z.literal('not-read-at-once') }),
  /** There are too few readings to tell. */
  z.strictObject({ code: z.literal('too-few-readings') }),
  /** THD+N never leaves the trend of the lower levels, or does so gradually. */
  z.strictObject({ code: z.literal('no-knee') }),
  inWords,
]);

/** What belongs to a figure besides its value. */
export const remarkSchema = z.discriminatedUnion('code', [
  z.strictObject({ code: z.literal('load-seen'), low_ohm: figure, high_ohm: figure }),
  z.strictObject({ code: z.literal('load-warm'), rise_K: figure }),
  /** A hold was interrupted after so long: no dips are known from before. */
  z.strictObject({ code: z.literal('interrupted'), after_s: figure }),
  /** Samples were lost in a hold, and its level came up again at once. */
  z.strictObject({ code: z.literal('broke-off'), after_s: figure }),
  inWords,
]);

export type SearchEnd = Read<typeof searchEnd>;
export type Reason = Read<typeof reasonSchema>;
export type Remark = Read<typeof remarkSchema>;
