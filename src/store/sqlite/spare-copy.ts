import Database from 'better-sqlite3';
import { migrate } from './migrations/migrate.js';
import { RunRows } from './run-rows.js';

/**
 * All rows of one run once more, in a file that the operating system has no name for and that nobody else can reach: what is
 * left of a run when another program writes over the database while it is recorded. It costs no time on the disk (nothing
 * of it need outlive the process), and is gone when it is closed.
 */
export class SpareCopy {
  readonly #db: Database.Database;
  readonly #rows: RunRows;
  /** False once something could not be added: a copy with holes is none. */
  #whole = true;

  private constructor(db: Database.Database, run: number) {
    this.#db = db;
    this.#rows = new RunRows(db, run);
  }

  /** Copies what `from` holds of `run`. Null where there is no room for it: a run goes on without. */
  static of(from: Database.Database, run: number): SpareCopy | null {
    let db: Database.Database | undefined;
    try {
      // An empty name: a private file that is deleted as soon as it is made.
      db = new Database('');
      migrate(db);
      db.pragma('foreign_keys = OFF');
      db.pragma('journal_mode = OFF');
      db.pragma('synchronous = OFF');
      db.pragma('cache_size = -2000');
      copyRows(from, db, run);
      return new SpareCopy(db, run);
    } catch {
      db?.close();
      return null;
    }
  }

  /** Adds what has just been committed. */
  add(work: (rows: RunRows) => void): void {
    if (!this.#whole) return;
    try {
      this.#db.transaction(() => work(this.#rows))();
    } catch {
      this.#whole = false;
    }
  }

  /** Makes a database of it. Throws SQLite's error. */
  writeTo(path: string): void {
    if (!this.#whole) throw new Error('there was no room for a second copy of the run');
    this.#db.prepare('VACUUM INTO ?').run(path);
  }

  close(): void {
    this.#db.close();
  }
}

/** Every table: of those that belong to a run its own rows, of those that runs share all. */
function copyRows(from: Database.Database, to: Database.Database, run: number): void {
  const tables = to
    .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    .pluck()
    .all() as string[];
  to.transaction(() => {
    for (const table of tables) copyTable(from, to, { table, run });
  })();
}

function copyTable(
  from: Database.Database,
  to: Database.Database,
  { table, run }: { readonly table: string; readonly run: number },
): void {
  const columns = to.prepare(`SELECT name FROM pragma_table_info('${table}')`).pluck().all() as string[];
  const names = columns.map((column) => `"${column}"`).join(', ');
  const insert = to.prepare(
    `INSERT INTO "${table}" (${names}) VALUES (${columns.map(() => '?').join(', ')})`,
  );
  const where = ownRows(table, columns);
  const rows = from.prepare(`SELECT ${names} FROM "${table}" WHERE ${where}`).raw();
  const given = where.includes('?') ? [run] : [];
  for (const row of rows.iterate(...given)) insert.run(...(row as unknown[]));
}

/** Which rows of a table belong to a run, or may. */
function ownRows(table: string, columns: readonly string[]): string {
  if (table === 'runs') return 'id = ?';
  if (columns.includes('run')) return 'run = ?';
  return columns.includes('reading') ? 'reading IN (SELECT id FROM readings WHERE run = ?)' : 'TRUE';
}
