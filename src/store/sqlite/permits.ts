import type { Database } from 'better-sqlite3';
import { fromJson, toJson } from '../../record/exact-json.js';
import type { Permit } from '../../record/run-record.js';
import type { FiledPermit } from '../contract/run-store.js';
import { insertInto } from './insert-into.js';
import { namedColumns } from './named-columns.js';

const COLUMNS = [
  'id',
  'sequence',
  'sequence_sha256',
  'bench',
  'bench_fingerprint',
  'claim',
  'by',
  'signed',
  'expires',
  'worst',
  'checklist',
] as const satisfies readonly (keyof Permit)[];

type PermitRow = Omit<Permit, 'worst' | 'checklist'> & { readonly worst: string; readonly checklist: string };

const SELECT = `SELECT ${namedColumns(COLUMNS)} FROM permits`;

export function insertPermit(db: Database, permit: Permit): void {
  const row = { ...permit, worst: toJson(permit.worst), checklist: toJson(permit.checklist) };
  insertInto(db, 'permits', COLUMNS).run(row);
}

export function readPermit(db: Database, id: string): Permit | undefined {
  const row = db.prepare<[string], PermitRow>(`${SELECT} WHERE id = ?`).get(id);
  return row && fromRow(row);
}

export function listPermits(db: Database): FiledPermit[] {
  const runOf = db
    .prepare<{ id: string }, number>(
      'SELECT id FROM runs WHERE permit = @id UNION SELECT run FROM sessions WHERE permit = @id',
    )
    .pluck();
  return db
    .prepare<[], PermitRow>(`${SELECT} ORDER BY signed DESC`)
    .all()
    .map((row) => ({ permit: fromRow(row), run: (runOf.get({ id: row.id }) as number | undefined) ?? null }));
}

function fromRow(row: PermitRow): Permit {
  return {
    ...row,
    worst: fromJson(row.worst),
    checklist: fromJson(row.checklist) as Permit['checklist'],
  };
}
