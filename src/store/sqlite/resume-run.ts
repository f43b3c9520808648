import type { Session } from '../../record/run-record.js';
import type { Resumption } from '../contract/run-store.js';
import { RunBusy, RunComplete } from '../contract/store-errors.js';
import type { DatabaseConnection } from './connect.js';
import { insertChecklist, insertSessions } from './insert-head.js';
import { readSound } from './read-sound.js';
import { sealHead } from './seal-row.js';
import { lockedRun, type StartedRun } from './start-run.js';

type Reopening = Resumption & Pick<Session, 'started' | 'before'> & { readonly run: number };

/**
 * Opens a run again and takes its lock, having made sure that there is room to go on. Throws an InputError or the error
 * of SQLite or the file system; then the run is as it was.
 */
export function resumeRun(connection: DatabaseConnection, reopening: Reopening): StartedRun {
  const { run, keepsCaptures } = reopening;
  return lockedRun(connection, keepsCaptures, (lock) => {
    try {
      lock(run);
    } catch (error) {
      if ((error as { code?: string }).code !== 'SQLITE_BUSY') throw error;
      throw new RunBusy(connection.file, run, error);
    }
    reopen(connection, reopening);
    return run;
  });
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
  const number = (last ?? 1) + 1;
  insertSessions(db, run, [{ number, started, at_s, first_point, before, permit }]);
  insertChecklist(db, run, resumption.checklist);
  sealHead(db, run);
}
