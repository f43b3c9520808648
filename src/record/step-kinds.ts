import { planOfKind } from '../sequence/plan.js';
import { isStepKind } from '../sequence/step-base.js';

/** Which kind of power rating the powers of a step may carry, by the kind that a record names: one of a later version, none. */
export const ratesOf = (kind: string): 'continuous' | 'burst' | 'none' =>
  isStepKind(kind) ? planOfKind(kind).rates : 'none';
