import type { Session } from '../../record/run-record.js';
import type { Resumption } from '../contract/run-store.js';
import { RunBusy, RunComplete, StoreMissing } from '../contract/store-errors.js';
import { type DatabaseConnection, isInPlace } from './connect.js';
import { insertInto } from './insert-into.js';
import { readSound } from './read-sound.js';
import { RunLock } from './run-lock.js';
import { sealHead } from './seal-head.js';
import { insertChecklist, requireCaptures, requireRoom, type StartedRun } from './start-run.js';

type Reopening = Resumption & Pick<Session, 'started' | 'before'> & { readonly run: number };

/**
 * Opens a run again and takes its lock, having made sure that there is room to go on. Throws an InputError or the error
 * of SQLite or the file system; then the run is as it was.
 */
export function resumeRun(connection: DatabaseConnection, reopening: Reopening): StartedRun {
  const { db, file } = connection;
  const { run, keepsCaptures } = reopening;
  if (!isInPlace(connection)) throw new StoreMissing(file);
  requireRoom(file);
  if (keepsCaptures) requireCaptures(file);
  let lock: RunLock | undefined;
  try {
    db.transaction(() => {
      lock = lockOf(file, run);
      reopen(connection, reopening);
    }).immediate();
    return { run, lock: lock! };
  } catch (error) {
    lock?.release();
    throw error;
  }
}

function lockOf(file: string, run: number): RunLock {
  try {
    return new RunLock(file, run);
  } catch (error) {
    if ((error as { code?: string }).code === 'SQLITE_BUSY') throw new RunBusy(file, run, { cause: error });
    throw error;
  }
}

function reopen({ db, file }: DatabaseConnection, { run, before, started, ...resumption }: Reopening): void {
  const outcome = db.prepare<[number], string>('SELECT outcome FROM runs WHERE id = ?').pluck().get(run);
  // Another program may have taken it up, and to its end, since this one looked.
  if (outcome === 'completed') throw new RunComplete(file, run);
  // Nothing is added to what is not sound: its sums would then stand for what was changed.
  readSound({ db, file }, run);
  db.prepare("UPDATE runs SET outcome = 'running', reason = '', ended = NULL WHERE id = ?").run(run);
  const last = db
    .prepare<[number], number>('SELECT max(number) FROM sessions WHERE run = ?')
    .pluck()
    .get(run);
  const { at_s, first_point, permit = null } = resumption;
  const row = { run, number: (last ?? 1) + 1, started, at_s, first_point, before, permit };
  insertInto(db, 'sessions', Object.keys(row) as (keyof typeof row)[]).run(row);
  insertChecklist(db, run, resumption.checklist);
  sealHead(db, run);
}
