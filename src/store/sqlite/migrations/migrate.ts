import type { Database } from 'better-sqlite3';
import { readSound } from '../read-sound.js';
import { first } from './001-first.js';
import { uncertaintyAndCurrent } from './002-uncertainty-and-current.js';
import { unattended } from './003-unattended.js';
import { resumed } from './004-resumed.js';
import { imported } from './005-imported.js';
import { findings } from './006-findings.js';
import { seals } from './007-seals.js';
import type { Migration } from './migration.js';

/** Marks a file as ours: the letters "ohme". Stands in bytes 68 to 71 of the file. */
export const APPLICATION_ID = 0x6f686d65;

/** Every migration there is, in order. */
export const MIGRATIONS: readonly Migration[] = [
  first,
  uncertaintyAndCurrent,
  unattended,
  resumed,
  imported,
  findings,
  seals,
];

/** The schema version that this program reads and writes. */
export const newestVersion = (migrations: readonly Migration[]): number => migrations.at(-1)?.version ?? 0;

/** The schema version of a file; 0 when nothing is in it yet. */
export const schemaVersion = (db: Database): number => db.pragma('user_version', { simple: true }) as number;

/**
 * Brings a file up to the newest schema in one transaction, so that a crash leaves it as it was. Safe when several programs do it at
 * the same time: the version is looked at again under the write lock. Rows are rewritten only if every run still is what its sums stand
 * for afterwards, which it is only if it was before.
 *
 * Throws RunAltered, or the SqliteError of a migration that fails, with everything undone.
 */
export function migrate(db: Database, migrations: readonly Migration[] = MIGRATIONS): void {
  // A migration may rebuild a table that others refer to; the check before the commit makes up for it.
  db.pragma('foreign_keys = OFF');
  try {
    db.transaction(() => {
      const missing = migrations.filter(({ version }) => version > schemaVersion(db));
      for (const migration of missing) apply(db, migration);
      if (missing.some(({ version, rows }) => rows && version > seals.version)) requireSoundRuns(db);
    }).immediate();
  } finally {
    db.pragma('foreign_keys = ON');
  }
}

/** @throws RunAltered */
function requireSoundRuns(db: Database): void {
  const runs = db.prepare<[], number>('SELECT run FROM seals WHERE head IS NOT NULL').pluck().all();
  for (const run of runs) readSound({ db, file: db.name }, run);
}

function apply(db: Database, { version, sql, rows }: Migration): void {
  db.exec(sql);
  for (const [table, columns] of Object.entries(rows?.reads ?? {}))
    for (const [column, value] of Object.entries(columns))
      db.exec(`UPDATE "${table}" SET "${column}" = ${value} WHERE "${column}" IS NOT ${value}`);
  rows?.change(db);
  for (const table of rows?.drops ?? []) db.exec(`DROP TABLE "${table}"`);
  const strays = db.pragma('foreign_key_check') as unknown[];
  if (strays.length > 0)
    throw new Error(`migration ${version} leaves ${strays.length} rows without their parent`);
  db.pragma(`application_id = ${APPLICATION_ID}`);
  db.pragma(`user_version = ${version}`);
}
