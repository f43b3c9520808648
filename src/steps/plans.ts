import type { StepBase, StepKindName } from '../sequence/step-base.js';
import type { CommonPlan } from '../sequence/step-plan.js';
import { ASK } from './ask/plan.js';
import { CLIMB } from './climb/plan.js';
import { HOLD } from './hold/plan.js';
import { MAX_POWER } from './max-power/plan.js';
import { QUIET } from './quiet/plan.js';
import { REST } from './rest/plan.js';
import { SWEEP } from './sweep/plan.js';
import { WARM_UP } from './warm-up/plan.js';

/** What is known of every kind of step before anything is played. */
export const PLANS = {
  ask: ASK,
  rest: REST,
  quiet: QUIET,
  climb: CLIMB,
  sweep: SWEEP,
  'max-power': MAX_POWER,
  hold: HOLD,
  'warm-up': WARM_UP,
} as const satisfies {
  readonly [Kind in StepKindName]: CommonPlan<object, StepBase & { readonly kind: Kind }>;
};
