import type { Entry } from '../../record/run-event.js';
import { operatorChange } from '../../sequence/operator-change.js';
import { isWired, type Plan, type PlanStep, planOf } from '../../sequence/plan.js';
import type { EarlierSessions } from './earlier-sessions.js';

/** A step to be walked, and how it is entered. */
export interface Leg {
  readonly step: PlanStep;
  readonly entry: Entry;
}

/**
 * The steps that a session walks. One that takes up a run listens again in silence as the run did last, where nobody has
 * to come for it, plays the last warm-up again, all of it, and then goes on where the run was broken off.
 */
export function legsOf(plan: Plan, earlier: EarlierSessions | null): Leg[] {
  if (!earlier) return plan.steps.map((step) => ({ step, entry: 'first' }));
  const done = plan.steps.slice(0, earlier.from);
  const [current, ...rest] = plan.steps.slice(earlier.from);
  if (!current) return [];
  const last = (afterBreak: 'once-more' | 'once-more-as-it-stands') =>
    done.findLast((step) => planOf(step).afterBreak === afterBreak);
  const warmUp = planOf(current).afterBreak === 'once-more' ? undefined : last('once-more');
  const next = [warmUp, current, ...rest].find((step) => step !== undefined && isWired(step));
  const quiet = last('once-more-as-it-stands');
  const again = done.filter((step) => step === warmUp || (step === quiet && servesAsItIs(quiet, next)));
  return [
    ...again.map((step) => ({ step, entry: 'again' as const })),
    { step: current, entry: earlier.stored.length > 0 ? 'on' : 'again' },
    ...rest.map((step) => ({ step, entry: 'first' as const })),
  ];
}

/** Whether what a quiet step needs is what the next step needs too. */
const servesAsItIs = (quiet: PlanStep, next: PlanStep | undefined) =>
  isWired(quiet) && next !== undefined && isWired(next) && operatorChange(next, quiet) === null;
