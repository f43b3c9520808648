import type { Database } from 'better-sqlite3';
import type { RunSummary } from '../../record/run-list.js';
import type { RunFilter } from '../contract/run-store.js';

// Points are numbered from 1 without holes, so the greatest number counts them without reading them.
export const SUMMARY_COLUMNS = `
    runs.id AS run, outcome, reason, started, ended, version, units.label AS unit, benches.name AS bench,
    benches.kind AS bench_kind, sequences.name AS sequence, sequences.sha256 AS sequence_sha256,
    coalesce((SELECT max(number) FROM points WHERE points.run = runs.id), 0) AS points,
    imports.original_run AS imported_from`;

export const SUMMARY_TABLES = `
  FROM runs
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  JOIN sequences ON sequences.id = runs.sequence
  LEFT JOIN imports ON imports.run = runs.id`;

const SUMMARIES = `SELECT ${SUMMARY_COLUMNS} ${SUMMARY_TABLES}
  WHERE (@run IS NULL OR runs.id = @run) AND (@unit IS NULL OR units.label = @unit)
  ORDER BY runs.id DESC
  LIMIT @limit`;

/** Runs as their rows say, newest first. */
export function listRuns(db: Database, { run, unit, limit }: RunFilter): RunSummary[] {
  const values = { run: run ?? null, unit: unit ?? null, limit: limit ?? -1 };
  return db.prepare<[object], RunSummary>(SUMMARIES).all(values);
}
