import { isWired, type Plan, type PlanStep, planOf, type WiredStep } from '../sequence/plan.js';
import type { StepQuestion } from '../sequence/step-plan.js';
import { type ChecklistItem, itemsOf } from './checklist.js';
import type { SafetyBench } from './hazards.js';
import { setUp } from './set-up.js';

/** A step that needs somebody at the bench. */
export interface NeededVisit {
  readonly step: string;
  /** What must be read or done there. */
  readonly text: string;
}

const questionOf = (step: PlanStep): StepQuestion | null => planOf(step).question(step);

/** What a sequence asks before anything else happens: whoever sets the bench up can answer it. */
export function openingQuestions({ steps }: Plan): StepQuestion[] {
  const first = steps.findIndex((step) => questionOf(step) === null);
  return steps.slice(0, first < 0 ? steps.length : first).flatMap((step) => questionOf(step) ?? []);
}

/** The steps of a plan that need somebody after everything has been set up for the first of them, and the opening questions answered. */
export function neededVisits(plan: Plan, bench: SafetyBench): NeededVisit[] {
  const visits: NeededVisit[] = [];
  let before: WiredStep | null = null;
  for (const step of plan.steps.slice(openingQuestions(plan).length)) {
    const question = questionOf(step);
    if (question) visits.push({ step: step.id, text: question.text });
    if (!isWired(step)) continue;
    const change = before && setUp(step, before, plan, bench);
    if (change) visits.push({ step: step.id, text: change.connect.text });
    before = step;
  }
  return visits;
}

/** What is confirmed beside the checklist before the bench is left alone: common practice, no source. */
export const UNATTENDED_ITEMS: readonly ChecklistItem[] = itemsOf({
  'allowed-alone':
    'Do your local rules and the owner of the place allow this to run with nobody in the room?',
  closed: 'Are all covers closed, those of the unit and those over the terminals?',
  'thermal-cut-out': 'Does every load have a thermal cut-out of its own that works without this program?',
  alarm: 'Is there a working smoke alarm in this room, and would somebody hear it?',
  door: 'Is the room closed to everybody who does not know about the run, with a notice that says what runs, until when, and how to cut the mains?',
  fuse: 'Is the unit behind a fuse or breaker of its own that clears a fault with nobody present?',
});
