import { rmSync, truncateSync } from 'node:fs';
import type { RunJournal } from '../journal/run-journal.js';
import { type DatabaseConnection, openConnection } from './connect.js';
import type { Harm } from './database-watch.js';
import { rebuild, rescuedPath } from './rebuild.js';

/**
 * Saves what can be saved when a database was taken away or spoilt while it was open. What fails is left: there is nothing
 * more to be done at this moment.
 *
 * - `moved`: all that the file holds goes into a copy beside the place where it was, and into the file itself, wherever that
 *   is now. SQLite leaves both undone when the file is not in its place: what was committed would stay in the `-wal` file,
 *   which a file that took the place would then be taken to own, and be damaged by.
 * - `spoilt`: the run, from its journal. What lies there now is left as it is: the `-wal` file is emptied, or SQLite would
 *   pour pages of the old database into what may be another one.
 *
 * @returns path of the copy, which has been opened and holds something; null where there is none
 */
export function rescue(
  { db, file }: DatabaseConnection,
  runNumber: number,
  harm: Harm,
  journal: RunJournal | null,
): string | null {
  const path = rescuedPath(file, runNumber);
  const fromJournal = () => {
    const run = journal?.read();
    if (!run) throw new Error('there was no room for a journal of the run');
    rebuild(run, path);
  };
  const kept = (save: () => unknown): boolean => {
    if (succeeds(save) && succeeds(() => requireRuns(path))) return true;
    // It would pass for a copy.
    rmSync(path, { force: true });
    return false;
  };
  if (harm === 'moved') {
    const safe = kept(() => db.prepare('VACUUM INTO ?').run(path)) || kept(fromJournal);
    // A disk that has no room for a copy may have none for this: half of it would damage the file that was moved.
    if (safe) succeeds(() => db.pragma('wal_checkpoint(TRUNCATE)'));
    return safe ? path : null;
  }
  const safe = kept(fromJournal);
  succeeds(() => truncateSync(`${file}-wal`, 0));
  return safe ? path : null;
}

/** Makes sure that a copy can be opened, and holds something. */
function requireRuns(path: string): void {
  const { db } = openConnection(path, 'write');
  try {
    if (db.prepare('SELECT 1 FROM runs').get() === undefined) throw new Error('it is empty');
    // One file, as somebody would copy it.
    db.pragma('journal_mode = DELETE');
  } finally {
    db.close();
  }
}

function succeeds(save: () => unknown): boolean {
  try {
    save();
    return true;
  } catch {
    return false;
  }
}
