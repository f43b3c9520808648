import { z } from 'zod';
import { prose } from '../../schema/fields.js';
import type { StepBase } from '../../sequence/step-base.js';
import {
  ASK_s,
  ASKED_SUBJECTS,
  fixedPart,
  NO_DUTY,
  type StepPlan,
  type StepQuestion,
} from '../../sequence/step-plan.js';

/** Stop and let the operator read, do, and confirm something. */
export interface AskStep extends StepBase, StepQuestion {
  readonly kind: 'ask';
}

const subject = z.enum(ASKED_SUBJECTS);

const schema = z.strictObject({
  text: prose(1000),
  confirms: z.union([subject, z.array(subject).min(1).max(ASKED_SUBJECTS.length)]).optional(),
  once_connected: z.boolean().optional(),
});

export const ASK: StepPlan<z.output<typeof schema>, AskStep> = {
  kind: 'ask',
  schema,
  short: 'text',
  layOut: ({ keys: { text, confirms = [], once_connected = false }, written: { id }, isFaulty }) =>
    text === undefined || isFaulty
      ? null
      : { kind: 'ask', id, text: text.trim(), confirms: [confirms].flat(), onceConnected: once_connected },
  parts: () => [fixedPart('whole', ASK_s)],
  points: () => 0,
  duty: () => NO_DUTY,
  words: ({ text, onceConnected }) => `ask${onceConnected ? ' once connected' : ''}: ${text}`,
  question: (step) => step,
  needs: 'nothing',
  resumes: 'again',
  afterBreak: 'nothing',
  rates: 'none',
  repeats: true,
  standsAlone: true,
  passes: 'once',
};
