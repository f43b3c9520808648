import { chmodSync, copyFileSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { StoreCorrupt, StoreForeign, StoreNewer } from '../contract/store-errors.js';
import { type DatabasePlace, explained } from './explain-failure.js';
import { type Location, locate, type StoreMode } from './locate.js';
import { missingFrom, showAsNew } from './look-at-older.js';
import { APPLICATION_ID, MIGRATIONS, migrate, newestVersion, schemaVersion } from './migrations/migrate.js';
import type { Migration } from './migrations/migration.js';

/** An open database file that is known to be ours, sound, and at the newest schema. */
export interface DatabaseConnection extends DatabasePlace {
  readonly db: Database.Database;
  readonly mode: StoreMode;
  /** Number by which the file system knows the file, whatever its name. */
  readonly inode: bigint;
  /** To be called once `db` is closed. */
  cleanUp(): void;
}

/**
 * Up to this size the whole file is checked before a run may write into it (about 0.2 s at the limit).
 * Larger ones are checked as far as they are read; a damaged page is noticed when it is touched.
 */
const CHECKED_WHOLE_BYTES = 64 * 2 ** 20;

/** The same before it is read, in a few milliseconds. */
const CHECKED_TO_READ_BYTES = 4 * 2 ** 20;

/** How long a statement waits for another program by default. */
export const WAIT_MS = 3000;

/**
 * Opens and checks a database file. `wait_ms` is how long any statement waits for another program's lock.
 * Throws one InputError that says what is the matter; a file that is refused is left as it was.
 */
export function openConnection(
  path: string,
  mode: StoreMode,
  wait_ms = WAIT_MS,
  migrations: readonly Migration[] = MIGRATIONS,
): DatabaseConnection {
  const location = explained({ file: path, wait_ms }, () => locate(path, mode));
  const place = { file: location.file, wait_ms };
  return explained(place, () => {
    const { db, cleanUp } = openFile(location, mode, wait_ms);
    try {
      const inode = inodeOf(place.file)!;
      return { ...place, mode, inode, cleanUp, db: ready(db, location, mode, migrations) };
    } catch (error) {
      db.close();
      cleanUp();
      throw error;
    }
  });
}

const inodeOf = (file: string): bigint | undefined =>
  statSync(file, { bigint: true, throwIfNoEntry: false })?.ino;

/** False when the open file no longer is the one that its path names. */
export function isInPlace({ file, inode }: DatabaseConnection): boolean {
  return inodeOf(file) === inode;
}

/** A file as SQLite opened it, and how to take away what was made for that. */
interface Opened {
  readonly db: Database.Database;
  cleanUp(): void;
}

function openFile({ file }: Location, mode: StoreMode, timeout: number): Opened {
  const db = new Database(file, { timeout, fileMustExist: true });
  try {
    schemaVersion(db);
    return { db, cleanUp: () => {} };
  } catch (error) {
    db.close();
    const closed = /^SQLITE_(READONLY|CANTOPEN|IOERR_SHM)/.test((error as { code?: string }).code ?? '');
    if (mode !== 'read' || !closed) throw error;
    return openCopy(file);
  }
}

/**
 * A database in a folder that cannot be written (an archive, a full disk, one mounted read-only): SQLite cannot place its files beside
 * it, so it is read from a copy in a private folder, with its log, in which the last runs may stand.
 */
function openCopy(file: string): Opened {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-read-'));
  const cleanUp = () => rmSync(folder, { recursive: true, force: true });
  // Also when the program ends without closing it.
  process.once('exit', cleanUp);
  try {
    const copy = join(folder, 'runs.db');
    for (const part of ['', '-wal'])
      if (statSync(`${file}${part}`, { throwIfNoEntry: false })?.isFile()) {
        copyFileSync(`${file}${part}`, `${copy}${part}`);
        // The copy has the rights of the original, which may be for reading alone.
        chmodSync(`${copy}${part}`, 0o600);
      }
    return { db: new Database(copy), cleanUp };
  } catch (error) {
    cleanUp();
    throw error;
  }
}

function ready(
  db: Database.Database,
  { file, bytes }: Location,
  mode: StoreMode,
  migrations: readonly Migration[],
): Database.Database {
  recognise(db, file, mode, migrations);
  if (bytes <= (mode === 'read' ? CHECKED_TO_READ_BYTES : CHECKED_WHOLE_BYTES)) requireSound(db, file);
  if (mode === 'read') return readable(db, migrations);
  migrate(db, migrations);
  db.pragma('journal_mode = WAL');
  // Every commit is on the disk before it returns: at an amplifier bench the mains breaker does trip.
  db.pragma('synchronous = FULL');
  // Proves now, rather than at the first point, that nobody else holds the file.
  db.transaction(() => {}).immediate();
  return db;
}

/** Refuses what is not ours or is too new. */
function recognise(
  db: Database.Database,
  file: string,
  mode: StoreMode,
  migrations: readonly Migration[],
): void {
  const { id, version, empty } = identity(db);
  if (id !== APPLICATION_ID && !(id === 0 && empty && mode === 'create')) throw new StoreForeign(file);
  if (!empty && version < 1) throw new StoreCorrupt(file, `its schema has the version ${version}`);
  const known = newestVersion(migrations);
  if (version > known) throw new StoreNewer(file, version, known);
}

/** Whose file this is, all as of one moment: another program may be making it right now. */
function identity(db: Database.Database) {
  return db.transaction(() => ({
    id: db.pragma('application_id', { simple: true }),
    version: schemaVersion(db),
    empty: db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get() === 0,
  }))();
}

/** Looking must change nothing: an older file is shown as a new one would be. */
function readable(db: Database.Database, migrations: readonly Migration[]): Database.Database {
  if (missingFrom(db, migrations).length > 0) showAsNew(db, migrations);
  // Not opened read-only: such a connection cannot tidy up the files that SQLite puts beside this one.
  db.pragma('query_only = ON');
  return db;
}

function requireSound(db: Database.Database, file: string): void {
  const finding = db.pragma('quick_check(1)', { simple: true });
  if (finding !== 'ok') throw new StoreCorrupt(file, String(finding));
}
