import type { Database } from 'better-sqlite3';
import type { FoundPower } from '../../record/found-power.js';
import type { FoundRuns, RunNames, RunSearch, RunSummary } from '../../record/run-list.js';
import { SUMMARY_COLUMNS, SUMMARY_TABLES } from './list-runs.js';

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
const PAGE = `SELECT ${SUMMARY_COLUMNS} ${SUMMARY_TABLES} ${MATCHES} ORDER BY runs.id DESC LIMIT @limit OFFSET @offset`;

/**
 * The runs that match, as their rows say.
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
): FoundRuns {
  const none = { unit: null, sequence: null, bench: null, outcome: null, from: null, to: null, text: null };
  const values = { ...none, ...search, alive: JSON.stringify(alive) };
  return db.transaction(() => ({
    total: db.prepare<[object], number>(COUNT).pluck().get(values)!,
    runs: db.prepare<[object], RunSummary>(PAGE).all({ ...values, limit, offset }),
  }))();
}

/** Runs whose row says that they go on. */
export const unfinishedRuns = (db: Database): number[] =>
  db.prepare<[], number>("SELECT id FROM runs WHERE outcome = 'running'").pluck().all();

/** The names in a database. */
export function runNames(db: Database): RunNames {
  const names = (sql: string) => db.prepare<[], string>(sql).pluck().all();
  return {
    units: names('SELECT DISTINCT label FROM units ORDER BY label'),
    sequences: names('SELECT DISTINCT name FROM sequences ORDER BY name'),
    benches: names('SELECT DISTINCT name FROM benches ORDER BY name'),
  };
}

const POWERS = `
  SELECT run, step_kind, channel, json_array_length(driven) AS driven, load_ohm,
    coalesce(nominal_Hz, detail ->> '$.lines_Hz[0]') AS frequency_Hz, threshold_percent,
    CASE bound WHEN 'found' THEN value END AS power_W
  FROM findings
  WHERE run IN (SELECT value FROM json_each(?)) AND quantity = 'max-power' AND channel IS NOT NULL
  ORDER BY id`;

/** The powers that these runs found at a threshold, in the order found. */
export const foundPowers = (db: Database, runs: readonly number[]): FoundPower[] =>
  db.prepare<[string], FoundPower>(POWERS).all(JSON.stringify(runs));
