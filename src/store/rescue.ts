import type { Connection } from './connect.js';

/** Where the copy of a database goes that was taken away while `run` was recorded. */
export const rescuedPath = (file: string, run: number): string => `${file}.rescued-run-${run}`;

/**
 * Saves what a database holds whose file was moved, deleted or replaced while it was open: writes all of it into a copy
 * beside the place where it was, and into the file itself, wherever that is now. SQLite leaves both undone when the file is not
 * in its place: what was committed would stay in the `-wal` file, which a file that took the place would then be
 * taken to own, and be damaged by. What fails is left: there is nothing more to be done.
 */
export function rescue({ db, file }: Connection, run: number): void {
  for (const save of [
    () => db.prepare('VACUUM INTO ?').run(rescuedPath(file, run)),
    () => db.pragma('wal_checkpoint(TRUNCATE)'),
  ])
    try {
      save();
    } catch {
      // The other one may still succeed.
    }
}
