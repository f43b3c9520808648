import { z } from 'zod';
import { STEP_KINDS } from '../../sequence/step-base.js';
import { SUBJECTS } from '../../sequence/step-plan.js';
import { END_CAUSES, type EndCause } from '../end-cause.js';
import { OUTCOMES } from '../outcome.js';
import type { RunEvent } from '../run-event.js';
import { code, name, number, prose, sha256 } from './fields.js';

/** An event that this version knows. */
export const eventSchema: z.ZodType<RunEvent> = z.discriminatedUnion('kind', [
  z.strictObject({
    at_s: number,
    kind: z.literal('step-entered'),
    step: name,
    step_kind: z.enum(STEP_KINDS).nullable(),
    entry: z.enum(['first', 'again', 'on']),
  }),
  z.strictObject({ at_s: number, kind: z.literal('step-left'), step: name }),
  z.strictObject({
    at_s: number,
    kind: z.literal('answered'),
    subjects: z.array(z.enum(SUBJECTS)).max(100),
    text: prose,
    answer: z.enum(['confirmed', 'refused', 'not-needed']),
  }),
  z.strictObject({ at_s: number, kind: z.literal('twin'), sha256 }),
  z.strictObject({
    at_s: number,
    kind: z.literal('ended'),
    outcome: z.enum(OUTCOMES),
    cause: z.enum(Object.keys(END_CAUSES) as [EndCause, ...EndCause[]]).optional(),
    reason: prose,
  }),
  z.strictObject({ at_s: number, kind: z.literal('note'), topic: name, text: prose }),
]);

/** An event as it may stand in a file, also one of a later version. */
export const storedEventSchema = z.looseObject({ at_s: number, kind: code });
