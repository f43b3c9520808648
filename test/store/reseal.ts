import type { Database } from 'better-sqlite3';
import { FORM, identityOf, sealOf } from '../../src/bundle/seal.js';
import { permitsOf, readAllSettlings, readCaptures } from '../../src/store/sqlite/read-content.js';
import { readRun } from '../../src/store/sqlite/read-run.js';

/** Sums up a run anew whose rows were made or changed behind the program's back, as if they had been recorded. */
export function reseal(db: Database, run: number): void {
  const record = readRun(db, run)!;
  const files = new Map(readCaptures(db, run).map((capture) => [capture.point, capture]));
  const content = { record, permits: permitsOf(db, record), settlings: readAllSettlings(db, run) };
  const seal = sealOf(content, files);
  const row = { run, form: FORM, identity: record.ended === null ? null : identityOf(seal), ...seal };
  const columns = Object.keys(row);
  db.prepare(
    `INSERT OR REPLACE INTO seals (${columns}) VALUES (${columns.map((column) => `@${column}`)})`,
  ).run(row);
}
