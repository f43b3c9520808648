import Database from 'better-sqlite3';
import { migrate, schemaVersion } from './migrations/migrate.js';
import type { Migration, RowChange } from './migrations/migration.js';

interface Column {
  readonly name: string;
  readonly dflt_value: string | null;
}

/**
 * Lets a file of an older schema be read as if it were new, without a change to it and without a copy: temporary
 * tables and views, which this connection alone sees, stand in front of those that lack something. Right because all
 * that their schemas ever do is to add, to which a test holds them.
 */
export function showAsNew(db: Database.Database, migrations: readonly Migration[]): void {
  const newest = new Database(':memory:');
  try {
    migrate(newest, migrations);
    const tables = newest
      .prepare<[], { name: string; sql: string }>(
        "SELECT name, sql FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
      )
      .all();
    const changes = missingFrom(db, migrations).flatMap(({ rows }) => rows ?? []);
    const copied = new Set(changes.flatMap((rows) => rows.tables));
    const reads = Object.assign({}, ...changes.map((rows) => rows.reads)) as RowChange['reads'];
    // What the stand-ins refer to are the tables themselves.
    db.pragma('foreign_keys = OFF');
    db.transaction(() => {
      for (const { name, sql } of tables)
        standIn(db, {
          name,
          sql,
          wanted: columnsOf(newest, name),
          copied: copied.has(name),
          reads: reads[name] ?? {},
        });
      for (const rows of changes) rows.change(db);
    })();
  } finally {
    newest.close();
  }
}

interface Wanted {
  readonly name: string;
  readonly sql: string;
  readonly wanted: readonly Column[];
  /** Whether rows of it will be changed. */
  readonly copied: boolean;
  readonly reads: Readonly<Record<string, string>>;
}

function standIn(db: Database.Database, { name: table, sql, wanted, copied, reads }: Wanted): void {
  const present = new Set(columnsOf(db, table).map(({ name }) => name));
  if (present.size === 0) {
    db.exec(sql.replace(/^CREATE TABLE/, 'CREATE TEMP TABLE'));
    return;
  }
  const lacks = wanted.some(({ name }) => !present.has(name));
  if (!lacks && !copied && Object.keys(reads).length === 0) return;
  const columns = wanted.map(({ name, dflt_value }) => {
    const old = reads[name] ?? `"${name}"`;
    return `${present.has(name) ? old : (dflt_value ?? 'NULL')} AS "${name}"`;
  });
  const kind = copied ? 'TABLE' : 'VIEW';
  db.exec(`CREATE TEMP ${kind} "${table}" AS SELECT ${columns.join(', ')} FROM main."${table}"`);
}

const columnsOf = (db: Database.Database, table: string): Column[] =>
  db.pragma(`main.table_info("${table}")`) as Column[];

/** The migrations that a file has not seen yet. */
export const missingFrom = (db: Database.Database, migrations: readonly Migration[]): Migration[] => {
  const version = schemaVersion(db);
  return migrations.filter((migration) => migration.version > version);
};
