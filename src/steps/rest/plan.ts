import { z } from 'zod';
import type { StepBase } from '../../sequence/step-base.js';
import { fixedPart, NO_DUTY, type StepPlan } from '../../sequence/step-plan.js';
import { timeField } from '../../sequence/written-fields.js';
import { formatDuration } from '../../units/format.js';

/** Let the unit and the loads cool in silence. */
export interface RestStep extends StepBase {
  readonly kind: 'rest';
  readonly seconds: number;
}

const schema = z.strictObject({ for: timeField });

export const REST: StepPlan<z.output<typeof schema>, RestStep> = {
  kind: 'rest',
  schema,
  short: 'for',
  layOut: ({ keys, written, isFaulty }) =>
    keys.for === undefined || isFaulty ? null : { kind: 'rest', id: written.id, seconds: keys.for },
  parts: ({ seconds }) => [fixedPart('whole', seconds)],
  points: () => 0,
  duty: () => NO_DUTY,
  words: ({ seconds }) => `rest ${formatDuration(seconds)}`,
  question: () => null,
  needs: 'nothing',
  resumes: 'again',
  afterBreak: 'nothing',
  rates: 'none',
  repeats: true,
  standsAlone: false,
  passes: 'each',
};
