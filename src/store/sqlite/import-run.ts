import type { Database } from 'better-sqlite3';
import type { RunContent } from '../../bundle/content.js';
import { partsOf } from '../../bundle/run-parts.js';
import type { PackedCapture } from '../../bundle/run-schema.js';
import { FORM, identityOfRun } from '../../bundle/seal.js';
import type { StoredCapture } from '../../record/run-part.js';
import type { Origin, RunRecord, Session } from '../../record/run-record.js';
import { PermitTaken, RunNotKept, RunPresent, StoreMissing } from '../contract/store-errors.js';
import { type DatabaseConnection, isInPlace } from './connect.js';
import { idOf, insertInto } from './insert-into.js';
import { insertPermit } from './permits.js';
import { readSound } from './read-sound.js';
import { RunRows } from './run-rows.js';
import { sealHead } from './seal-head.js';
import { SealRows } from './seal-row.js';
import { insertChecklist } from './start-run.js';

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
      const run = insertHead(db, incoming.content.record);
      insertRest(db, run, incoming);
      insertOrigin(db, run, incoming);
      sealHead(db, run);
      // Whatever a database would keep otherwise than it came is not taken in at all.
      if (identityHere(connection, run) !== incoming.identity) throw new RunNotKept(file);
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

/**
 * Makes the row of a run, and those that it shares with others.
 *
 * @param id left out: the next number
 */
export function insertHead(db: Database, record: RunRecord, id?: number): number {
  const { unit, bench, sequence, version, started, ended, outcome, reason, claim, permit } = record;
  const { name, kind, rate_Hz, text, sha256 } = bench;
  const row = {
    // None: the next one.
    id: id ?? null,
    unit: idOf(db, 'units', { label: unit.label }),
    bench: idOf(db, 'benches', { name, kind, rate_Hz, text, sha256 }),
    sequence: idOf(db, 'sequences', { name: sequence.name, text: sequence.text, sha256: sequence.sha256 }),
    version,
    started,
    ended,
    // As the program that died has left it; whoever reads it finds that nobody records it.
    outcome: ended === null ? 'running' : outcome,
    reason: ended === null ? '' : reason,
    claim,
    permit: permit?.id ?? null,
  };
  const columns = Object.keys(row) as (keyof typeof row)[];
  const run = Number(insertInto(db, 'runs', columns).run(row).lastInsertRowid);
  const insert = insertInto(db, 'run_calibration', ['run', 'position', 'record']);
  record.calibration.forEach(({ id, kind, text, sha256 }, position) => {
    insert.run({ run, position, record: idOf(db, 'calibration_records', { name: id, kind, text, sha256 }) });
  });
  insertChecklist(db, run, record.checklist);
  new SealRows(db).begin(run, record.identity === null ? 0 : FORM);
  return run;
}

function insertRest(db: Database, run: number, { content, files }: IncomingRun): void {
  const rows = new RunRows(db, run);
  for (const part of partsOf(content, files)) rows.add(part);
  insertSessions(db, run, content.record.sessions);
}

export function insertSessions(db: Database, run: number, sessions: readonly Session[]): void {
  const columns = ['run', 'number', 'started', 'at_s', 'first_point', 'before', 'permit'] as const;
  const insert = insertInto(db, 'sessions', columns);
  for (const { permit = null, ...session } of sessions) insert.run({ run, ...session, permit });
}

function insertOrigin(db: Database, run: number, { content, identity, imported }: IncomingRun): void {
  const origin: Origin = { run: content.record.run, identity, imported };
  insertInto(db, 'imports', ['run', 'original_run', 'identity', 'imported']).run({
    run,
    original_run: origin.run,
    identity: origin.identity,
    imported: origin.imported,
  });
}
