import type { Entry } from './run-event.js';
import type { RunEventRecord } from './run-record.js';

const WORDS = { first: 'begins', again: 'is played again', on: 'goes on' } as const;
const MARK = new RegExp(`^(.*) (?:${Object.values(WORDS).join('|')})$`, 's');

/** What a run remembers of a step that it has entered: by these marks a later session finds its place. */
export function stepMark(step: string, entry: Entry): Pick<RunEventRecord, 'kind' | 'text'> {
  return { kind: 'step', text: `${step} ${WORDS[entry]}` };
}

/** The step that an event marks as entered; null for any other event. */
export function markedStep({ kind, text }: Pick<RunEventRecord, 'kind' | 'text'>): string | null {
  return kind === 'step' ? (MARK.exec(text)?.[1] ?? null) : null;
}
