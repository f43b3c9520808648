import { operatorChange } from './operator-change.js';
import { isWired, type PlanStep, type WiredStep } from './plan.js';
import { ASK_s, fixedPart, type StepPart } from './step-part.js';

/** Hearing each tap out when loads or taps were moved. */
const LISTEN_s = 0.2;

/**
 * What must be set up before a step, when anything must: the operator's work, where there is an operator, and the check of
 * the wiring.
 *
 * @param before the last step that needed loads
 */
export function setUpPart(step: PlanStep, before: WiredStep | null, asks: boolean): StepPart | null {
  if (!isWired(step) || operatorChange(step, before) === null) return null;
  const listened = 1 + (step.wired ?? step.driven).length;
  return fixedPart('set-up', (asks ? ASK_s : 0) + LISTEN_s * listened);
}
