import Database from 'better-sqlite3';

/** Held, so that they are not closed for not being used. */
const KEPT: LogKeeper[] = [];

/**
 * A second connection to a database that is open: as long as there is one, SQLite does not pour the log into the database when the
 * other is closed, and this one, which only reads, may not. It is opened while the log is in its place.
 */
export class LogKeeper {
  readonly #reader: Database.Database | null;

  constructor(file: string) {
    let reader: Database.Database | null = null;
    try {
      reader = new Database(file, { readonly: true, fileMustExist: true });
      reader.prepare('SELECT 1 FROM sqlite_schema').get();
    } catch {
      // Without it a run is recorded all the same.
    }
    this.#reader = reader;
  }

  /** From now on the log may go its way. */
  release(): void {
    this.#reader?.close();
  }

  /** Keeps the log out of the database for as long as this program lives. */
  keep(): void {
    KEPT.push(this);
  }
}
