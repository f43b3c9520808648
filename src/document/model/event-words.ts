import type { RunEvent } from '../../record/run-event.js';

/** An event in words: a topic, and a sentence for people. */
export interface EventWords {
  readonly at_s: number;
  readonly kind: string;
  readonly text: string;
}

const ENTRIES = { first: 'begins', again: 'is repeated', on: 'continues' } as const;
const ANSWERS = {
  confirmed: ': confirmed',
  refused: ': refused',
  'not-needed': ' (nothing to do on this bench)',
} as const;

/** What an event tells a person; null where it tells nothing that the next one does not. */
export function eventWords(event: RunEvent): EventWords | null {
  const { at_s } = event;
  switch (event.kind) {
    case 'step-entered':
      return { at_s, kind: 'step', text: `${event.step} ${ENTRIES[event.entry]}` };
    case 'step-left':
      return null;
    case 'answered':
      return { at_s, kind: 'ask', text: `${event.text}${ANSWERS[event.answer]}` };
    case 'twin':
      return { at_s, kind: 'twin', text: `SHA-256 of the twin file: ${event.sha256}` };
    case 'ended':
      return { at_s, kind: 'end', text: event.reason };
    case 'note':
      return { at_s, kind: event.topic, text: event.text };
    case 'unknown':
      return {
        at_s,
        kind: event.named,
        text: `not known to this version: ${JSON.stringify(event.fields)}`,
      };
    default:
      return event satisfies never;
  }
}
