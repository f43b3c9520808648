import { createHash } from 'node:crypto';
import { storedEvent } from '../record/known-event.js';
import { storedFlags } from '../record/known-flags.js';
import type { RunRecord } from '../record/run-record.js';
import { writeCanonicalJson } from './canonical-json.js';

/**
 * What a run is known by in whatever database it lies: the SHA-256 of all that was recorded of it. What belongs to a
 * database is left out: its number, where it came from, and the file names of its captures.
 */
export function identityOf({ events, ...record }: RunRecord): string {
  const stored = { ...record, events: events.map(storedEvent) };
  return hashOfRun(stored);
}

/** The same for a run of whatever format. */
export function hashOfRun(
  record: Pick<RunRecord, 'run' | 'origin' | 'readings' | 'sessions'> & object,
): string {
  const { run: _number, origin: _origin, readings, ...rest } = record;
  const own = { ...rest, readings: readings.map(asStored) };
  // Absent and null say the same of a session's permit; a database that gave it back says null.
  const sessions = rest.sessions.map(({ permit = null, ...session }) => ({ ...session, permit }));
  const hash = createHash('sha256');
  writeCanonicalJson({ ...own, sessions }, (piece) => hash.update(piece));
  return hash.digest('hex');
}

function asStored(reading: RunRecord['readings'][number]): object {
  const { capture: _file, unknown_flags: _aside, ...rest } = reading;
  return { ...rest, flags: storedFlags(reading) };
}
