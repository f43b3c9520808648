import { type BigIntStats, statSync } from 'node:fs';
import Database from 'better-sqlite3';
import type { DatabaseConnection } from './connect.js';
import { APPLICATION_ID } from './migrations/migrate.js';

/** What has become of a database that is open: `moved` with its content unhurt, `spoilt` by somebody who wrote to it past SQLite. */
export type Harm = 'moved' | 'spoilt';

/** How much of a file is checked while something may be playing: a few milliseconds. Of a larger one only the run itself. */
const CHECKED_WHOLE_BYTES = 4 * 2 ** 20;

/** Failures to open or read that say nothing of what is there: locks, permissions, too many open files, no memory. */
const CANNOT_LOOK =
  /^SQLITE_(BUSY|LOCKED|CANTOPEN|PERM|AUTH|READONLY|NOMEM|IOERR(?!_SHORT_READ)|PROTOCOL|INTERRUPT)/;

/** What the file system says of a file; null when it has no file of that name. */
interface FileState {
  readonly ino: bigint;
  readonly size: bigint;
  readonly ctimeNs: bigint;
}

function stateOf(path: string): FileState | null {
  const stats: BigIntStats | undefined = statSync(path, { bigint: true, throwIfNoEntry: false });
  return stats ? { ino: stats.ino, size: stats.size, ctimeNs: stats.ctimeNs } : null;
}

/**
 * Notices that somebody moves, deletes, replaces or writes over a database, or what SQLite keeps beside it, while a run is
 * recorded: SQLite itself goes on writing into a file that has no name any more, and takes what it has read once for what is
 * there. Three looks at the folder are all it takes as long as nothing has happened; what another ohmest commits changes
 * the file too, and has it read anew, over a connection that remembers nothing.
 */
export class DatabaseWatch {
  readonly #connection: DatabaseConnection;
  readonly #run: number;
  #file: FileState | null = null;
  /** The write-ahead log, and the index of it that programs share. */
  #log: FileState | null = null;
  #index: FileState | null = null;
  /** Points that are committed. */
  #points: number;

  constructor(connection: DatabaseConnection, run: number) {
    this.#connection = connection;
    this.#run = run;
    this.#points = connection.db
      .prepare('SELECT count(*) FROM points WHERE run = ?')
      .pluck()
      .get(run) as number;
    this.#note();
  }

  /** Takes what is there now as right: it was just committed. */
  committed(points: number): void {
    this.#points += points;
    this.#note();
  }

  #note(): void {
    const { file } = this.#connection;
    this.#file = stateOf(file);
    this.#log = stateOf(`${file}-wal`);
    this.#index = stateOf(`${file}-shm`);
  }

  /** What has happened since the last commit; null: nothing that matters. */
  harm(): Harm | null {
    const { file, inode } = this.#connection;
    const now = stateOf(file);
    if (now?.ino !== inode) return 'moved';
    const log = stateOf(`${file}-wal`);
    if (this.#log && log?.ino !== this.#log.ino) return 'moved';
    if (this.#index && stateOf(`${file}-shm`)?.ino !== this.#index.ino) return 'moved';
    const cut = log !== null && this.#log !== null && log.size < this.#log.size;
    const touched = now.ctimeNs !== this.#file?.ctimeNs || now.size !== this.#file.size;
    return cut || touched ? this.inspect() : null;
  }

  /** Reads the database as another program would. */
  inspect(): Harm | null {
    let db: Database.Database | undefined;
    try {
      db = new Database(this.#connection.file, { fileMustExist: true, timeout: this.#connection.wait_ms });
      db.pragma('query_only = ON');
      return this.#isSound(db) ? null : 'spoilt';
    } catch (error) {
      // Who cannot look has not seen anything wrong, and must not take a sound log away: what is committed next will tell.
      return CANNOT_LOOK.test((error as { code?: string }).code ?? '') ? null : 'spoilt';
    } finally {
      db?.close();
    }
  }

  #isSound(db: Database.Database): boolean {
    if (db.pragma('application_id', { simple: true }) !== APPLICATION_ID) return false;
    const bytes = stateOf(this.#connection.file)?.size ?? 0n;
    if (bytes <= CHECKED_WHOLE_BYTES && db.pragma('integrity_check(1)', { simple: true }) !== 'ok')
      return false;
    const points = db.prepare('SELECT count(*) FROM points WHERE run = ?').pluck().get(this.#run);
    const read = db.prepare('SELECT count(*), sum(length(flags)) FROM readings WHERE run = ?');
    read.get(this.#run);
    return points === this.#points;
  }
}
