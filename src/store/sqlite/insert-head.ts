import type { Database } from 'better-sqlite3';
import { FORM } from '../../bundle/seal.js';
import type { RunRecord, Session } from '../../record/run-record.js';
import { idOf, insertRow } from './insert-into.js';
import { SealRows } from './seal-row.js';

/** What stands once in a run. Of its permit the id is enough: the permit itself is there already. */
type Head = Pick<
  RunRecord,
  'unit' | 'bench' | 'sequence' | 'calibration' | 'checklist' | 'claim' | 'version' | 'started' | 'identity'
> &
  Pick<RunRecord, 'ended' | 'outcome' | 'reason'> & { readonly permit: { readonly id: string } | null };

/**
 * Makes the row of a run, and those that it shares with others.
 *
 * @param id left out: the next number
 */
export function insertHead(db: Database, record: Head, id?: number): number {
  const { unit, bench, sequence, version, started, ended, outcome, reason, claim, permit } = record;
  const { name, kind, rate_Hz, text, sha256 } = bench;
  const row = {
    // None: the next one.
    id: id ?? null,
    unit: idOf(db, 'units', { label: unit.label }),
    bench: idOf(db, 'benches', { name, kind, rate_Hz, text, sha256 }),
    sequence: idOf(db, 'sequences', { name: sequence.name, text: sequence.text, sha256: sequence.sha256 }),
    version,
    started,
    ended,
    // As the program that died has left it; whoever reads it finds that nobody records it.
    outcome: ended === null ? 'running' : outcome,
    reason: ended === null ? '' : reason,
    claim,
    permit: permit?.id ?? null,
  };
  const run = Number(insertRow(db, 'runs', row).lastInsertRowid);
  record.calibration.forEach(({ id, kind, text, sha256 }, position) => {
    const kept = idOf(db, 'calibration_records', { name: id, kind, text, sha256 });
    insertRow(db, 'run_calibration', { run, position, record: kept });
  });
  insertChecklist(db, run, record.checklist);
  new SealRows(db).begin(run, record.identity === null ? 0 : FORM);
  return run;
}

/** Adds answers after those that the run has. */
export function insertChecklist(db: Database, run: number, checklist: RunRecord['checklist']): void {
  const given = db.prepare<[number], number>('SELECT count(*) FROM checklist_answers WHERE run = ?').pluck();
  const before = given.get(run) as number;
  checklist.forEach(({ item, answer, by, at }, i) => {
    insertRow(db, 'checklist_answers', { run, position: before + i, item, answer, by, at });
  });
}

export function insertSessions(db: Database, run: number, sessions: readonly Session[]): void {
  for (const { number, started, at_s, first_point, before, permit = null } of sessions)
    insertRow(db, 'sessions', { run, number, started, at_s, first_point, before, permit });
}
