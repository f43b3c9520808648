import { createHash } from 'node:crypto';

import type { RunRecord } from '../record/run-record.js';
import { writeCanonicalJson } from './canonical-json.js';

/**
 * What a run is known by in whatever database it lies: the SHA-256 of all that was recorded of it. What belongs to a
 * database is left out: its number, where it came from, and the file names of its captures.
 */
export function identityOf(record: RunRecord): string {
  const { run: _number, origin: _origin, readings, ...rest } = record;
  // A run of version 0.1 stays what it is known as, by the name that the kind had then.
  const points = rest.points.map((point) =>
    point.stepKind === 'max-power' ? { ...point, stepKind: 'ceiling' } : point,
  );
  const own = { ...rest, points, readings: readings.map(({ capture: _file, ...reading }) => reading) };
  // Absent and null say the same of a session's permit; a database that gave it back says null.
  const sessions = rest.sessions.map(({ permit = null, ...session }) => ({ ...session, permit }));
  const hash = createHash('sha256');
  writeCanonicalJson({ ...own, sessions }, (piece) => hash.update(piece));
  return hash.digest('hex');
}
