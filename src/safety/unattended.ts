import { isWired, type Plan, planOf, type WiredStep } from '../sequence/plan.js';
import { changePrompt } from './change-prompt.js';
import type { ChecklistItem } from './checklist.js';

/** A step that somebody must be there for. */
export interface NeededVisit {
  readonly step: string;
  /** What must be read or done there. */
  readonly text: string;
}

/** The steps of a plan that need somebody after everything has been set up for the first of them. */
export function neededVisits({ steps }: Plan): NeededVisit[] {
  const visits: NeededVisit[] = [];
  let before: WiredStep | null = null;
  for (const step of steps) {
    const question = planOf(step).question(step);
    if (question) visits.push({ step: step.id, text: question.text });
    if (!isWired(step)) continue;
    const prompt = before && changePrompt(step, before);
    if (prompt !== null) visits.push({ step: step.id, text: prompt });
    before = step;
  }
  return visits;
}

/** What a run asks before it plays anything; null when it plays nothing. */
export function firstSetUp({ steps }: Plan): string | null {
  const first = steps.find(isWired);
  return first ? changePrompt(first, null) : null;
}

/** What is confirmed beside the checklist before nobody is there any more: common practice, no source. */
export const UNATTENDED_ITEMS: readonly ChecklistItem[] = [
  {
    id: 'allowed-alone',
    text: 'Do your local rules and the owner of the place allow this to run with nobody in the room?',
  },
  {
    id: 'alarm',
    text: 'Would smoke or fire be noticed: is there a working smoke alarm where somebody hears it?',
  },
  {
    id: 'door',
    text: 'Is the room closed to everybody who does not know of it, with a notice that says what runs, until when, and how to cut the mains?',
  },
  {
    id: 'fuse',
    text: 'Is the unit behind a fuse or breaker of its own that clears a fault without anybody there?',
  },
];
