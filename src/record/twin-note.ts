import type { RunEvent } from './run-event.js';

/** The SHA-256 of the twin that a run was begun with; null when the run does not tell. */
export const twinOfRun = (events: readonly RunEvent[]): string | null =>
  events.find((event) => event.kind === 'twin')?.sha256 ?? null;
