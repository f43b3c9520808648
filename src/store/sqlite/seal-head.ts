import type { Database } from 'better-sqlite3';
import { headSums, identityOf } from '../../bundle/seal.js';
import { permitsOf } from './read-content.js';
import { readHead } from './read-run.js';
import { SealRows } from './seal-row.js';

/** Sums up anew what stands once in a run, after a change to it; gives it its identity once it has ended. */
export function sealHead(db: Database, run: number): void {
  const record = readHead(db, run)!;
  const sums = headSums(record, permitsOf(db, record));
  new SealRows(db).change(run, (now) => ({
    ...sums,
    identity: record.ended === null || now.form === 0 ? null : identityOf({ ...now, ...sums }),
  }));
}
