import { z } from 'zod';
import { prose } from '../../schema/fields.js';
import type { StepBase } from '../../sequence/step-base.js';
import {
  ASK_s,
  ASKED_SUBJECTS,
  fixedPart,
  NO_DUTY,
  type StepPlan,
  type Subject,
} from '../../sequence/step-plan.js';

/** Stop and let the operator read, do, and confirm something. */
export interface AskStep extends StepBase {
  readonly kind: 'ask';
  readonly text: string;
  /** What the answer confirms, where something is later asked of it. */
  readonly confirms: readonly Subject[];
}

const subject = z.enum(ASKED_SUBJECTS);

const schema = z.strictObject({
  text: prose(1000),
  confirms: z.union([subject, z.array(subject).min(1).max(ASKED_SUBJECTS.length)]).optional(),
});

export const ASK: StepPlan<z.output<typeof schema>, AskStep> = {
  kind: 'ask',
  schema,
  short: 'text',
  layOut: ({ keys: { text, confirms = [] }, written: { id }, isFaulty }) =>
    text === undefined || isFaulty ? null : { kind: 'ask', id, text, confirms: [confirms].flat() },
  parts: () => [fixedPart('whole', ASK_s)],
  points: () => 0,
  duty: () => NO_DUTY,
  words: ({ text }) => `ask: ${text}`,
  question: ({ text, confirms }) => ({ text, confirms }),
  needs: 'nothing',
  resumes: 'again',
  afterBreak: 'nothing',
  rates: 'none',
  repeats: true,
  standsAlone: true,
  passes: 'once',
};
