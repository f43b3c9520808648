import type { Database, RunResult, Statement } from 'better-sqlite3';

export type SqlValue = string | number | Buffer | null;
export type Row<Column extends string> = Record<Column, SqlValue>;

const quoted = (columns: readonly string[]): string => columns.map((column) => `"${column}"`).join(', ');

/** An INSERT that takes a row by column name. Names come from our own code, never from outside. */
export function insertInto<Column extends string>(
  db: Database,
  table: string,
  columns: readonly Column[],
): Statement<[Row<Column>]> {
  const values = columns.map((column) => `@${column}`).join(', ');
  return db.prepare<[Row<Column>]>(`INSERT INTO "${table}" (${quoted(columns)}) VALUES (${values})`);
}

/** Adds one row. Of many of a table, prepare the statement once. */
export const insertRow = <Column extends string>(db: Database, table: string, row: Row<Column>): RunResult =>
  insertInto(db, table, Object.keys(row) as Column[]).run(row);

/** The id of the row that has exactly these values, inserted when there is none yet. Call within a transaction. */
export function idOf<Column extends string>(db: Database, table: string, row: Row<Column>): number {
  const columns = Object.keys(row) as Column[];
  const same = columns.map((column) => `"${column}" = @${column}`).join(' AND ');
  const found = db.prepare(`SELECT id FROM "${table}" WHERE ${same}`).pluck().get(row);
  return Number(found ?? insertRow(db, table, row).lastInsertRowid);
}
