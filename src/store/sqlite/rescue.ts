import { truncateSync } from 'node:fs';
import type { RunJournal } from '../journal/run-journal.js';
import type { Connection } from './connect.js';
import type { Harm } from './database-watch.js';
import { rebuild } from './rebuild.js';

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
 * @param path from `rescuedPath`: nothing may be there
 * @returns whether the run is safe at `path`
 */
export function rescue(
  { db, file }: Connection,
  path: string,
  harm: Harm,
  journal: RunJournal | null,
): boolean {
  const fromJournal = () => {
    const run = journal?.read();
    if (!run) throw new Error('there was no room for a journal of the run');
    rebuild(run, path);
  };
  if (harm === 'moved') {
    const safe = succeeds(() => db.prepare('VACUUM INTO ?').run(path)) || succeeds(fromJournal);
    succeeds(() => db.pragma('wal_checkpoint(TRUNCATE)'));
    return safe;
  }
  const safe = succeeds(fromJournal);
  succeeds(() => truncateSync(`${file}-wal`, 0));
  return safe;
}

function succeeds(save: () => unknown): boolean {
  try {
    save();
    return true;
  } catch {
    return false;
  }
}
