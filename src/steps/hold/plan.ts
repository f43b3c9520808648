import { z } from 'zod';
import { HELD, type HeldStep, heldFields, layOutHeld } from '../../sequence/lay-out-held.js';
import type { StepPlan } from '../../sequence/step-plan.js';
import { frequencyField } from '../../sequence/written-fields.js';

/** Keep one level for a time and say how it stood. */
export interface HoldStep extends HeldStep {
  readonly kind: 'hold';
}

const schema = z.strictObject({ frequency: frequencyField, ...heldFields });

const EVERY_s = 10;

export const HOLD: StepPlan<z.output<typeof schema>, HoldStep> = {
  ...HELD,
  kind: 'hold',
  schema,
  layOut: (at) => {
    const step = layOutHeld(at, { frequency_Hz: null, every_s: EVERY_s });
    return step && { kind: 'hold', ...step };
  },
  resumes: 'here',
  afterBreak: 'nothing',
  rates: 'continuous',
  passes: 'each',
};
