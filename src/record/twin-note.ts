import type { RunEventRecord } from './run-record.js';

/** Kind of the event that says which twin a simulated bench has played with. */
export const TWIN_NOTE = 'twin';

/** What it says. */
export const twinNote = (sha256: string): string => `SHA-256 of the twin file: ${sha256}`;

/** The SHA-256 of the twin that a run was begun with; null when the run does not tell. */
export function twinOfRun(events: readonly RunEventRecord[]): string | null {
  const note = events.find(({ kind }) => kind === TWIN_NOTE);
  return note?.text.match(/[0-9a-f]{64}$/)?.[0] ?? null;
}
