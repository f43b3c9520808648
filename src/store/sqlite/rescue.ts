import { existsSync, truncateSync } from 'node:fs';
import type { Connection } from './connect.js';
import type { Harm } from './database-watch.js';
import type { SpareCopy } from './spare-copy.js';

/**
 * Where the copy of a database goes that was taken away or spoilt while `run` was recorded. A run that is gone on with may
 * need a second one, and so may one of the same number in a later database: the first stays as it is.
 */
export function rescuedPath(file: string, run: number): string {
  const first = `${file}.rescued-run-${run}`;
  let path = first;
  for (let n = 2; existsSync(path); n += 1) path = `${first}-${n}`;
  return path;
}

/**
 * Saves what can be saved when a database was taken away or spoilt while it was open. What fails is left: there is nothing
 * more to be done.
 *
 * - `moved`: all that the file holds goes into a copy beside the place where it was, and into the file itself, wherever that
 *   is now. SQLite leaves both undone when the file is not in its place: what was committed would stay in the `-wal` file,
 *   which a file that took the place would then be taken to own, and be damaged by.
 * - `spoilt`: the run, from the spare copy. What lies there now is left as it is: the `-wal` file is emptied, or SQLite would
 *   pour pages of the old database into what may be another one.
 *
 * @param path from `rescuedPath`: nothing may be there
 */
export function rescue({ db, file }: Connection, path: string, harm: Harm, spare: SpareCopy | null): void {
  if (harm === 'moved') {
    if (!succeeds(() => db.prepare('VACUUM INTO ?').run(path))) succeeds(() => spare?.writeTo(path));
    succeeds(() => db.pragma('wal_checkpoint(TRUNCATE)'));
    return;
  }
  succeeds(() => spare?.writeTo(path));
  succeeds(() => truncateSync(`${file}-wal`, 0));
}

function succeeds(save: () => unknown): boolean {
  try {
    save();
    return true;
  } catch {
    return false;
  }
}
