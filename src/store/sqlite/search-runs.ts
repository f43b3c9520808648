import type { Database } from 'better-sqlite3';
import type { RunSearch } from '../../record/run-list.js';
import { SUMMARY_TABLES } from './list-runs.js';

// A run that says `running` and is none of those alive was left by a program that died.
const MATCHES = `
  WHERE (@unit IS NULL OR units.label = @unit)
    AND (@sequence IS NULL OR sequences.name = @sequence)
    AND (@bench IS NULL OR benches.name = @bench)
    AND (@outcome IS NULL OR @outcome = CASE
      WHEN outcome = 'running' AND runs.id NOT IN (SELECT value FROM json_each(@alive)) THEN 'interrupted'
      ELSE outcome END)
    AND (@from IS NULL OR substr(started, 1, 10) >= @from)
    AND (@to IS NULL OR substr(started, 1, 10) <= @to)
    AND (@text IS NULL OR instr(lower(units.label || char(10) || sequences.name || char(10) || benches.name
      || char(10) || reason), lower(@text)) > 0)`;

const COUNT = `SELECT count(*) ${SUMMARY_TABLES} ${MATCHES}`;
const PAGE = `SELECT runs.id ${SUMMARY_TABLES} ${MATCHES} ORDER BY runs.id DESC LIMIT @limit OFFSET @offset`;

/**
 * The numbers of the runs that match, as their rows say, newest first: a page of them, and how many there are.
 *
 * @param alive those runs of outcome `running` that a program is at work on
 * @param limit at most so many, after the first `offset`
 */
export function searchRuns(
  db: Database,
  search: RunSearch,
  {
    alive,
    limit,
    offset,
  }: { readonly alive: readonly number[]; readonly limit: number; readonly offset: number },
): { readonly total: number; readonly runs: readonly number[] } {
  const none = { unit: null, sequence: null, bench: null, outcome: null, from: null, to: null, text: null };
  const values = { ...none, ...search, alive: JSON.stringify(alive) };
  return db.transaction(() => ({
    total: db.prepare<[object], number>(COUNT).pluck().get(values)!,
    runs: db
      .prepare<[object], number>(PAGE)
      .pluck()
      .all({ ...values, limit, offset }),
  }))();
}
