import { createHash } from 'node:crypto';
import { toJson } from '../record/exact-json.js';
import type { RunRecord } from '../record/run-record.js';

/**
 * What a run is known by in whatever database it lies: the SHA-256 of all that was recorded of it. What belongs to a
 * database is left out: its number, where it came from, and the file names of its captures.
 */
export function identityOf(record: RunRecord): string {
  const { run: _number, origin: _origin, readings, ...rest } = record;
  const own = { ...rest, readings: readings.map(({ capture: _file, ...reading }) => reading) };
  // Absent and null say the same of a session's permit; a database that gave it back says null.
  const sessions = rest.sessions.map(({ permit = null, ...session }) => ({ ...session, permit }));
  return createHash('sha256')
    .update(sorted({ ...own, sessions }))
    .digest('hex');
}

/** JSON with the keys of every object in alphabetical order: equal content gives equal text. */
function sorted(value: object): string {
  return JSON.stringify(JSON.parse(toJson(value)), (_, part: unknown) =>
    typeof part === 'object' && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}
