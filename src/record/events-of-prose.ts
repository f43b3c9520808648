import type { StepKindName } from '../sequence/step-base.js';
import type { Subject } from '../sequence/step-plan.js';
import { OUTCOMES, type Outcome } from './outcome.js';
import type { Entry, RunEvent } from './run-event.js';

/*
 * Events as version 0.1 kept them: sentences. Read here once, when a database or a bundle of that version is brought up to date,
 * and nowhere else.
 */

/** An event of version 0.1. */
export interface ProseEvent {
  readonly at_s: number;
  readonly kind: string;
  readonly text: string;
}

/** What a run says besides its events, by which they are understood. */
export interface ProseGround {
  readonly points: readonly { readonly step: string; readonly stepKind: string }[];
  readonly sessions: readonly { readonly before: string }[];
  readonly outcome: string;
  readonly reason: string;
}

/** The events of a run of version 0.1, typed. What means nothing to a program stays a note. */
export function eventsOfProse(events: readonly ProseEvent[], ground: ProseGround): RunEvent[] {
  const kinds = new Map(ground.points.map(({ step, stepKind }) => [step, kindOf(stepKind)]));
  const endings = [...ground.sessions.map(({ before }) => before), `${ground.outcome}: ${ground.reason}`];
  const outcomeOf = (reason: string) =>
    OUTCOMES.find((outcome) => endings.includes(`${outcome}: ${reason}`)) ?? null;
  return events.map((event) => eventOfProse(event, (step) => kinds.get(step) ?? null, outcomeOf));
}

const kindOf = (stepKind: string): StepKindName =>
  stepKind === 'ceiling' ? 'max-power' : (stepKind as StepKindName);

/** @param outcomeOf how a run, or a session of it, ended for this reason; null: not known */
export function eventOfProse(
  event: ProseEvent,
  kindOfStep: (step: string) => StepKindName | null,
  outcomeOf: (reason: string) => Outcome | null,
): RunEvent {
  const { at_s, kind, text } = event;
  const note: RunEvent = { at_s, kind: 'note', topic: kind, text };
  switch (kind) {
    case 'step':
      return entered(event, kindOfStep) ?? note;
    case 'ask':
      return answered(event) ?? note;
    case 'twin': {
      const sha256 = /[0-9a-f]{64}$/.exec(text)?.[0];
      return sha256 === undefined ? note : { at_s, kind: 'twin', sha256 };
    }
    case 'end': {
      const outcome = outcomeOf(text);
      return outcome === null ? note : { at_s, kind: 'ended', outcome, reason: text };
    }
    default:
      return note;
  }
}

const ENTRIES: readonly (readonly [words: string, entry: Entry])[] = [
  [' begins', 'first'],
  [' is played again', 'again'],
  [' goes on', 'on'],
];

function entered({ at_s, text }: ProseEvent, kindOfStep: (step: string) => StepKindName | null) {
  const mark = ENTRIES.find(([words]) => text.endsWith(words));
  if (!mark) return null;
  const step = text.slice(0, -mark[0].length);
  return { at_s, kind: 'step-entered', step, step_kind: kindOfStep(step), entry: mark[1] } as const;
}

const ANSWERS = [
  [': confirmed', 'confirmed'],
  [': refused', 'refused'],
  [' (nothing to do on this bench)', 'not-needed'],
] as const;

/** What a question of the shipped sequences and of the program itself mentions. */
const MENTIONS: readonly (readonly [subject: Subject, mentioned: RegExp])[] = [
  ['ambient', /\bair\b.*(?:25|77)/i],
  ['mains-voltage', /\bmains\b.*\bV\b/i],
  ['mains-frequency', /\bmains\b.*\bHz\b/i],
  ['input-used', /\binput\b/i],
  ['connection', /^Switch the unit off\./],
  ['same-set-up', /^Before the run broke off this was confirmed:/],
];

function answered({ at_s, text }: ProseEvent) {
  const end = ANSWERS.find(([words]) => text.endsWith(words));
  if (!end) return null;
  const question = text.slice(0, -end[0].length);
  const subjects = MENTIONS.flatMap(([subject, mentioned]) => (mentioned.test(question) ? [subject] : []));
  return { at_s, kind: 'answered', subjects, text: question, answer: end[1] } as const;
}
