import { z } from 'zod';
import { STEP_KINDS } from '../../sequence/step-base.js';
import { SUBJECTS } from '../../sequence/step-plan.js';
import { END_CAUSES, type EndCause } from '../end-cause.js';
import { OUTCOMES } from '../outcome.js';
import { code, name, number, prose, sha256 } from './fields.js';

/** An event that this version knows. */
export const eventSchema = z.discriminatedUnion('kind', [
  z.strictObject({
    at_s: number,
    kind: z.literal('step-entered'),
    step: name,
    /** Null for a step without points in a run of version 0.1, which kept no more than its name. */
    step_kind: z.enum(STEP_KINDS).nullable(),
    /** For the first time, once more from its beginning, or where it was interrupted. */
    entry: z.enum(['first', 'again', 'on']),
  }),
  z.strictObject({ at_s: number, kind: z.literal('step-left'), step: name }),
  z.strictObject({
    at_s: number,
    kind: z.literal('answered'),
    /** One question may cover several: mains voltage and frequency. None when nothing is asked of it later. */
    subjects: z.array(z.enum(SUBJECTS)).max(100),
    text: prose,
    /** `not-needed`: nothing has to be done on this bench. */
    answer: z.enum(['confirmed', 'refused', 'not-needed']),
  }),
  /** The twin file that a simulated bench plays with. */
  z.strictObject({ at_s: number, kind: z.literal('twin'), sha256 }),
  z.strictObject({
    at_s: number,
    kind: z.literal('ended'),
    outcome: z.enum(OUTCOMES),
    /** Left out in runs of earlier versions. */
    cause: z.enum(Object.keys(END_CAUSES) as [EndCause, ...EndCause[]]).optional(),
    reason: prose,
  }),
  /** Words for people. Nothing may depend on them. */
  z.strictObject({ at_s: number, kind: z.literal('note'), topic: name, text: prose }),
]);

/** An event as it may stand in a file, also one of a later version. */
export const storedEventSchema = z.looseObject({ at_s: number, kind: code });
