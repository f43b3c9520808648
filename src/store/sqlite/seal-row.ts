import type { Database, Statement } from 'better-sqlite3';
import { EMPTY_SEAL, FORM, headSums, identityOf, type Seal, STRANDS } from '../../bundle/seal.js';
import { namedColumns } from './named-columns.js';
import { permitsOf } from './read-content.js';
import { readHead } from './read-run.js';

/** The row of a run in `seals`. Sums are null in a run that was recorded before there were any. */
export interface SealRow extends Readonly<Record<keyof Seal, string | null>> {
  /** 0: the run was recorded without sums, also where it has been summed up since. */
  readonly form: number;
  readonly identity: string | null;
}

const COLUMNS = ['form', 'identity', ...STRANDS] as const;

/** Whether the sums are there. */
export const isSealed = <Row extends SealRow>(row: Row): row is Row & Seal => row.head !== null;

/** What the run is known by; null for one that was recorded before there were identities. */
export const identityIn = (row: SealRow): string | null =>
  isSealed(row) && row.form > 0 ? identityOf(row) : null;

/** Reads and writes the sums of runs. Commits nothing: call it within a transaction. */
export class SealRows {
  readonly #read: Statement<[number], SealRow>;
  readonly #write: Statement<[object]>;

  constructor(db: Database) {
    this.#read = db.prepare<[number], SealRow>(`SELECT ${namedColumns(COLUMNS)} FROM seals WHERE run = ?`);
    const values = COLUMNS.map((column) => `@${column}`);
    this.#write = db.prepare(`INSERT OR REPLACE INTO seals (run, ${COLUMNS}) VALUES (@run, ${values})`);
  }

  read(run: number): SealRow | undefined {
    return this.#read.get(run);
  }

  /** Begins the sums of a run. @param form 0 for one that was recorded without */
  begin(run: number, form = FORM): void {
    this.#write.run({ run, form, identity: null, ...EMPTY_SEAL });
  }

  /** Puts sums in place of those that are there. A run that was recorded without any stays without. */
  change(run: number, changed: (now: SealRow & Seal) => Partial<SealRow>): void {
    const row = this.read(run)!;
    if (isSealed(row)) this.#write.run({ ...row, ...changed(row), run });
  }
}

/** Sums up anew what stands once in a run, after a change to it; gives it its identity once it has ended. */
export function sealHead(db: Database, run: number): void {
  const record = readHead(db, run)!;
  const sums = headSums(record, permitsOf(db, record));
  new SealRows(db).change(run, (now) => ({
    ...sums,
    identity: record.ended === null || now.form === 0 ? null : identityOf({ ...now, ...sums }),
  }));
}
