import type { Database } from 'better-sqlite3';
import { eventsOfProse, type ProseEvent } from '../../../record/events-of-prose.js';
import { fromJson } from '../../../record/exact-json.js';
import { findingsOfResults } from '../../../record/findings-of-results.js';
import type { Result } from '../../../record/old-results.js';
import type { Point } from '../../../record/run-record.js';
import { toEventRow } from '../event-row.js';
import { toFindingRow } from '../finding-row.js';
import type { Migration } from './migration.js';

/**
 * What steps concluded in one shape, whatever the step; events with fields in place of sentences to be read back; and what was
 * concluded from a run when it ended. Results and events of earlier versions are brought into these shapes.
 */
export const findings: Migration = {
  version: 6,
  sql: `
-- A column that is NULL does not apply. flags and driven are JSON lists, why is a JSON object with a code, and detail holds what
-- has no column: frequencies played, points, budgets, remarks, further terms, and a value that is no single number.
CREATE TABLE findings (
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES runs,
  quantity TEXT NOT NULL,
  statistic TEXT NOT NULL,
  value REAL,
  unit TEXT NOT NULL,
  bound TEXT NOT NULL,
  uncertainty REAL,
  why TEXT CHECK (why IS NULL OR json_valid(why)),
  step TEXT NOT NULL,
  step_kind TEXT NOT NULL,
  channel INTEGER,
  driven TEXT NOT NULL CHECK (json_valid(driven)),
  load_ohm REAL NOT NULL,
  mains_V REAL,
  cell TEXT NOT NULL,
  nominal_Hz REAL,
  threshold_percent REAL,
  weighting TEXT,
  flags TEXT NOT NULL CHECK (json_valid(flags)),
  detail TEXT NOT NULL CHECK (json_valid(detail))
) STRICT;
CREATE INDEX findings_by_run ON findings (run);

-- The fields of an event's kind, as a JSON object.
ALTER TABLE events ADD COLUMN detail TEXT NOT NULL DEFAULT '{}';

-- What was concluded when the run ended, for other programs: ohmest itself concludes anew. version is that of the
-- program that drew it.
CREATE TABLE conclusions (
  run INTEGER NOT NULL REFERENCES runs,
  position INTEGER NOT NULL,
  kind TEXT NOT NULL,
  text TEXT NOT NULL,
  detail TEXT NOT NULL CHECK (json_valid(detail)),
  version TEXT NOT NULL,
  PRIMARY KEY (run, position)
) STRICT, WITHOUT ROWID;

DROP VIEW rated_power;
CREATE VIEW rated_power AS
  -- One row per power found at a THD+N threshold by a climb; power_W is NULL where the threshold was not crossed.
  SELECT runs.id AS run, runs.started, runs.outcome, units.label AS unit, benches.name AS bench, findings.step,
    findings.channel, findings.driven, findings.load_ohm, findings.detail ->> '$.lines_Hz[0]' AS frequency_Hz,
    findings.threshold_percent, CASE findings.bound WHEN 'found' THEN findings.value END AS power_W,
    findings.uncertainty AS uncertainty_W, findings.detail ->> '$.terms.bracket_dB' AS bracket_dB,
    coalesce(findings.why ->> '$.text', findings.why ->> '$.code', findings.detail ->> '$.remarks[0].text', '') AS note
  FROM findings
  JOIN runs ON runs.id = findings.run
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  WHERE findings.quantity = 'max-power' AND findings.step_kind = 'climb';

CREATE VIEW maximum_powers AS
  -- One row per maximum power at a THD+N limit. bound tells whether power_W is the value (found) or only a bound of it.
  SELECT runs.id AS run, runs.started, runs.outcome, units.label AS unit, benches.name AS bench,
    sequences.name AS sequence, findings.step, findings.step_kind, findings.channel, findings.driven, findings.load_ohm,
    findings.mains_V, findings.nominal_Hz, findings.detail ->> '$.lines_Hz[0]' AS frequency_Hz, findings.threshold_percent,
    findings.value AS power_W, findings.bound, findings.uncertainty AS uncertainty_W,
    findings.why ->> '$.code' AS why, findings.flags
  FROM findings
  JOIN runs ON runs.id = findings.run
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  JOIN sequences ON sequences.id = runs.sequence
  WHERE findings.quantity = 'max-power';

CREATE VIEW holds AS
  -- One row per channel of a held level: how the power and the rest stood over its time.
  SELECT runs.id AS run, runs.started, runs.outcome, units.label AS unit, benches.name AS bench, findings.step,
    findings.channel, findings.driven, findings.load_ohm, findings.mains_V, findings.nominal_Hz,
    max(findings.detail ->> '$.terms.seconds') AS seconds,
    max(CASE findings.statistic WHEN 'first' THEN findings.value END) AS first_W,
    max(CASE findings.statistic WHEN 'last' THEN findings.value END) AS last_W,
    max(CASE WHEN findings.quantity = 'power' AND findings.statistic = 'minimum' THEN findings.value END) AS minimum_W,
    max(CASE findings.quantity WHEN 'dip' THEN findings.value END) AS dip_dB,
    max(CASE findings.quantity WHEN 'thdn' THEN findings.value END) AS maximum_thdn_percent,
    max(CASE findings.quantity WHEN 'dc' THEN findings.value END) AS maximum_dc_V
  FROM findings
  JOIN runs ON runs.id = findings.run
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  WHERE findings.step_kind = 'hold'
  GROUP BY runs.id, findings.step, findings.channel, findings.nominal_Hz;

CREATE VIEW causes AS
  -- One row per cause named for a power that falls short, most confident first.
  SELECT runs.id AS run, runs.started, units.label AS unit, findings.step, findings.channel, findings.driven,
    findings.load_ohm, findings.nominal_Hz, cause.value ->> '$.cause' AS cause,
    cause.value ->> '$.confidence' AS confidence, cause.value ->> '$.evidence' AS evidence
  FROM findings
  JOIN runs ON runs.id = findings.run
  JOIN units ON units.id = runs.unit
  JOIN json_each(findings.detail, '$.value') AS cause
  WHERE findings.quantity = 'cause'
  ORDER BY runs.id, findings.id, confidence DESC;

CREATE VIEW verdicts AS
  -- One row per conclusion that was drawn when the run ended, in the order of importance.
  SELECT runs.id AS run, runs.started, runs.outcome, units.label AS unit, conclusions.position, conclusions.kind,
    conclusions.text, conclusions.detail, conclusions.version
  FROM conclusions
  JOIN runs ON runs.id = conclusions.run
  JOIN units ON units.id = runs.unit;
`,
  rows: {
    tables: ['findings', 'events'],
    change: (db) => {
      const runs = db.prepare<[], Ended>('SELECT id, outcome, reason FROM runs').all();
      for (const run of runs) bringUpToDate(db, run);
    },
    // One name for the search for the highest power.
    reads: { points: { stepKind: "CASE stepKind WHEN 'ceiling' THEN 'max-power' ELSE stepKind END" } },
    drops: ['results'],
  },
};

interface Ended {
  readonly id: number;
  readonly outcome: string;
  readonly reason: string;
}

function bringUpToDate(db: Database, { id, outcome, reason }: Ended): void {
  const points = pointsOf(db, id);
  for (const finding of findingsOfResults(resultsOf(db, id), points)) {
    const row = { run: id, ...toFindingRow(finding) };
    const columns = Object.keys(row);
    db.prepare(
      `INSERT INTO findings (${columns.join(', ')}) VALUES (${columns.map((name) => `@${name}`).join(', ')})`,
    ).run(row);
  }
  const sessions = db.prepare('SELECT before FROM sessions WHERE run = ?').all(id) as { before: string }[];
  const told = db
    .prepare<[number], ProseEvent & { id: number }>(
      'SELECT id, at_s, kind, text FROM events WHERE run = ? ORDER BY id',
    )
    .all(id);
  const update = db.prepare('UPDATE events SET kind = @kind, text = @text, detail = @detail WHERE id = @id');
  eventsOfProse(told, { points, sessions, outcome, reason }).forEach((event, i) => {
    const { kind, text, detail } = toEventRow(event);
    update.run({ id: told[i]!.id, kind, text, detail });
  });
}

/** Enough of the points to tell the setting of a result. */
function pointsOf(db: Database, run: number): Point[] {
  return db
    .prepare(
      'SELECT number, step, stepKind, nominal_Hz, mains_V, cell FROM points WHERE run = ? ORDER BY number',
    )
    .all(run) as Point[];
}

function resultsOf(db: Database, run: number): Result[] {
  type Stored = Record<'driven' | 'detail', string>;
  return db
    .prepare<[number], Stored>(
      'SELECT kind, step, channel, driven, load_ohm, detail FROM results WHERE run = ? ORDER BY id',
    )
    .all(run)
    .map(
      ({ driven, detail, ...row }) =>
        ({ ...row, driven: fromJson(driven), ...(fromJson(detail) as object) }) as unknown as Result,
    );
}
