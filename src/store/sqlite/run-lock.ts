import { existsSync, readdirSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Database from 'better-sqlite3';

/**
 * Shows other programs that a run is alive: a file `<database>.run-<number>.lock` that its writer keeps
 * locked. The operating system lets go of the lock when the process ends, however it ends, which neither
 * a process number (they are reused) nor a sign of life (a rest can last an hour) can tell so surely.
 * The lock is SQLite's own, so it works wherever the database does.
 */
export class RunLock {
  readonly #path: string;
  readonly #holder: Database.Database;

  /** Takes the lock of `run`. Throws SQLITE_BUSY when another program records that run. */
  constructor(file: string, run: number) {
    this.#path = lockPath(file, run);
    let holder = locked(this.#path);
    // Another program may have taken the file for that of a dead one and removed it just before it was locked.
    for (let tries = 1; !isAlive(file, run) && tries < MOST_TRIES; tries += 1) {
      holder.close();
      holder = locked(this.#path);
    }
    this.#holder = holder;
  }

  /** Lets go and removes the file. Safe to call twice. */
  release(): void {
    if (!this.#holder.open) return;
    this.#holder.close();
    try {
      rmSync(this.#path, { force: true });
    } catch {
      // The folder may have become one that cannot be written: whoever opens the database next removes it.
    }
  }
}

/** Removals that a lock can meet while it is being taken: each other program that opens the database makes one. */
const MOST_TRIES = 10;

function locked(path: string): Database.Database {
  const holder = new Database(path, { timeout: 0 });
  try {
    // Nothing is ever written to the file: it needs no journal beside it.
    holder.pragma('journal_mode = MEMORY');
    holder.exec('BEGIN EXCLUSIVE');
    return holder;
  } catch (error) {
    holder.close();
    throw error;
  }
}

const lockPath = (file: string, run: number): string => `${file}.run-${run}.lock`;

/** True while some program, this one included, records `run` into the database `file`. */
export function isAlive(file: string, run: number): boolean {
  const path = lockPath(file, run);
  if (!existsSync(path)) return false;
  let probe: Database.Database | undefined;
  try {
    probe = new Database(path, { readonly: true, fileMustExist: true, timeout: 0 });
    probe.prepare('SELECT 1 FROM sqlite_schema').get();
    return false;
  } catch (error) {
    return (error as { code?: string }).code === 'SQLITE_BUSY';
  } finally {
    probe?.close();
  }
}

/** Removes the lock file of one run, unless somebody holds it. */
export function removeDeadLock(file: string, run: number): void {
  if (!isAlive(file, run)) rmSync(lockPath(file, run), { force: true });
}

/**
 * Removes the lock files of programs that died. `committed` says whether a run's row can be seen: before
 * that its writer may be just about to take the lock, and its file must stay.
 */
export function removeDeadLocks(file: string, committed: (run: number) => boolean): void {
  const prefix = `${basename(file)}.run-`;
  for (const name of readdirSync(dirname(file))) {
    if (!name.startsWith(prefix) || !name.endsWith('.lock')) continue;
    const run = Number(name.slice(prefix.length, -'.lock'.length));
    if (Number.isSafeInteger(run) && committed(run) && !isAlive(file, run))
      rmSync(join(dirname(file), name), { force: true });
  }
}
