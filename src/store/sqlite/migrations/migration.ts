import type { Database } from 'better-sqlite3';

/**
 * One step in the life of the schema. A migration that has been released is never edited: files out
 * there were made by it. Whatever comes later is a new migration with the next number.
 */
export interface Migration {
  /** The file's `user_version` once this migration is in. From 1, without holes. */
  readonly version: number;
  /** The schema. It only adds, and drops no more than views: a file that is only read is shown as if this had been done. */
  readonly sql: string;
  /** What becomes of the rows that are there. */
  readonly rows?: RowChange;
}

/** A change of rows that can also be done before a reader's eyes alone, with the file left as it is. */
export interface RowChange {
  /** Tables whose rows it makes or changes: a reader gets a copy of its own of each. */
  readonly tables: readonly string[];
  /** By table and column the expression that gives each new value: a reader sees it in place of the old one. */
  readonly reads: Readonly<Record<string, Readonly<Record<string, string>>>>;
  /** Makes the change, in the file or in the copies. */
  change(db: Database): void;
  /** Tables that are no longer needed then. Those of a file that is only read stay. */
  readonly drops: readonly string[];
}
