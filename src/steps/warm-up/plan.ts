import { z } from 'zod';
import { HELD, type HeldStep, heldFields, layOutHeld } from '../../sequence/lay-out-held.js';
import type { StepPlan } from '../../sequence/step-plan.js';
import { frequencyField } from '../../sequence/written-fields.js';

/** Keep one level for a time so that the unit is warm: its readings are no result. */
export interface WarmUpStep extends HeldStep {
  readonly kind: 'warm-up';
}

const schema = z.strictObject({ frequency: frequencyField.optional(), ...heldFields });

const FREQUENCY_Hz = 1000;
const EVERY_s = 60;

export const WARM_UP: StepPlan<z.output<typeof schema>, WarmUpStep> = {
  ...HELD,
  kind: 'warm-up',
  schema,
  layOut: (at) => {
    const step = layOutHeld(at, { frequency_Hz: FREQUENCY_Hz, every_s: EVERY_s });
    return step && { kind: 'warm-up', ...step };
  },
  resumes: 'again',
  // A unit cools while nobody plays it.
  afterBreak: 'once-more',
  rates: 'none',
  passes: 'once',
};
