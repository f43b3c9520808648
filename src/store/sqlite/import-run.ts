import type { RunContent } from '../../bundle/content.js';
import { partsOf } from '../../bundle/run-parts.js';
import type { PackedCapture } from '../../bundle/run-schema.js';
import { identityOfRun } from '../../bundle/seal.js';
import type { StoredCapture } from '../../record/run-part.js';
import { PermitTaken, RunNotKept, RunPresent, StoreMissing } from '../contract/store-errors.js';
import { type DatabaseConnection, isInPlace } from './connect.js';
import { insertHead, insertSessions } from './insert-head.js';
import { insertRow } from './insert-into.js';
import { insertPermit } from './permits.js';
import { readSound } from './read-sound.js';
import { RunRows } from './run-rows.js';
import { sealHead } from './seal-row.js';

/** A run to be taken in, with the files of its captures that are in the folder already, by point. */
export interface IncomingRun {
  readonly content: RunContent;
  readonly identity: string;
  readonly files: ReadonlyMap<number, StoredCapture & PackedCapture>;
  /** ISO 8601 in UTC. */
  readonly imported: string;
}

/**
 * Takes in a run that was made elsewhere, under a number of its own, all of it in one transaction: it is there whole or
 * not at all.
 *
 * @returns its number here
 * @throws RunPresent, PermitTaken, StoreMissing, the error of SQLite; then nothing of it is left
 */
export function importRun(connection: DatabaseConnection, incoming: IncomingRun): number {
  const { db, file } = connection;
  if (!isInPlace(connection)) throw new StoreMissing(file);
  return db
    .transaction(() => {
      requireAbsent(connection, incoming);
      for (const permit of incoming.content.permits) {
        const used = db.prepare('SELECT 1 FROM permits WHERE id = ?').get(permit.id);
        if (used) throw new PermitTaken(file, permit.id);
        insertPermit(db, permit);
      }
      const { content, files, identity, imported } = incoming;
      const run = insertHead(db, content.record);
      const rows = new RunRows(db, run);
      for (const part of partsOf(content, files)) rows.add(part);
      insertSessions(db, run, content.record.sessions);
      insertRow(db, 'imports', { run, original_run: content.record.run, identity, imported });
      sealHead(db, run);
      // Whatever a database would keep otherwise than it came is not taken in at all.
      if (identityHere(connection, run) !== identity) throw new RunNotKept(file);
      return run;
    })
    .immediate();
}

/** Makes sure that the run is not in the database yet, brought there or made there. @throws RunPresent */
export function requireAbsent(
  connection: DatabaseConnection,
  { content, identity }: Pick<IncomingRun, 'content' | 'identity'>,
): void {
  const { started, version } = content.record;
  // No other run can be the same.
  const known = connection.db
    .prepare<[string, string], number>('SELECT id FROM runs WHERE started = ? AND version = ?')
    .pluck()
    .all(started, version)
    .find((run) => identityHere(connection, run) === identity);
  if (known !== undefined) throw new RunPresent(connection.file, known);
}

/** The identity of a run by what its rows hold, also of one that was recorded without any. */
const identityHere = (connection: DatabaseConnection, run: number): string =>
  identityOfRun(readSound(connection, run)!);
