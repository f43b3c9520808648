import type { Database } from 'better-sqlite3';
import type { Harmonic } from '../../measure/analysis.js';
import { fromJson } from '../../record/exact-json.js';
import type { StoredFinding } from '../../record/finding.js';
import type { Outcome } from '../../record/outcome.js';
import type { RunEvent } from '../../record/run-event.js';
import type {
  DrawnSpectrum,
  Origin,
  Point,
  Reading,
  RunRecord,
  SensorSample,
  Session,
} from '../../record/run-record.js';
import type { ReadParts } from '../contract/run-store.js';
import { unpackDoubles } from './doubles.js';
import { EVENT_COLUMNS, type EventRow, fromEventRow } from './event-row.js';
import { FINDING_COLUMNS, type FindingRow, fromFindingRow } from './finding-row.js';
import { namedColumns } from './named-columns.js';
import { readPermit } from './permits.js';
import { readCaptures } from './read-content.js';
import { fromReadingCells, READ_COLUMNS, type ReadingCells, readingKeys } from './reading-row.js';

interface HeadRow {
  readonly unit: string;
  readonly bench: string;
  readonly kind: string;
  readonly rate_Hz: number;
  readonly bench_text: string;
  readonly bench_sha256: string;
  readonly sequence: string;
  readonly sequence_text: string;
  readonly sequence_sha256: string;
  readonly version: string;
  readonly started: string;
  readonly ended: string | null;
  readonly outcome: Outcome | 'running';
  readonly reason: string;
  readonly claim: string | null;
  readonly permit: string | null;
}

/**
 * A run as its rows say, all of it as of one moment. Undefined when there is no such run. A run whose
 * program died still says `running`: see `Store.run`.
 */
export function readRun(db: Database, run: number, parts: ReadParts = {}): RunRecord | undefined {
  return db.transaction(() => {
    const head = readHead(db, run);
    if (!head) return undefined;
    const points = readPoints(db, run);
    return {
      ...head,
      probes: db.prepare<[number], SensorSample>(PROBES).all(run),
      points,
      readings: readings(db, run, points, parts),
      findings: readFindings(db, run),
      events: readEvents(db, run),
    };
  })();
}

const HEAD = `
  SELECT units.label AS unit, benches.name AS bench, ${namedColumns(['benches.kind', 'benches.rate_Hz'])},
    benches.text AS bench_text, benches.sha256 AS bench_sha256, sequences.name AS sequence,
    sequences.text AS sequence_text, sequences.sha256 AS sequence_sha256,
    ${namedColumns(['version', 'started', 'ended', 'outcome', 'reason', 'claim', 'permit'])}
  FROM runs
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  JOIN sequences ON sequences.id = runs.sequence
  WHERE runs.id = ?`;

/** A run without what was added to it as it went. */
export type RunHead = Omit<RunRecord, 'probes' | 'points' | 'readings' | 'findings' | 'events'>;

export function readHead(db: Database, run: number): RunHead | undefined {
  const head = db.prepare<[number], HeadRow>(HEAD).get(run);
  if (!head) return undefined;
  const { outcome, reason, started, ended, version } = head;
  const origin = db.prepare<[number], Origin>(ORIGIN).get(run);
  return {
    run,
    ...(origin ? { origin } : {}),
    outcome,
    reason,
    started,
    ended,
    version,
    unit: { label: head.unit },
    bench: {
      name: head.bench,
      kind: head.kind,
      rate_Hz: head.rate_Hz,
      text: head.bench_text,
      sha256: head.bench_sha256,
    },
    sequence: { name: head.sequence, text: head.sequence_text, sha256: head.sequence_sha256 },
    calibration: db.prepare<[number], RunRecord['calibration'][number]>(CALIBRATION).all(run),
    checklist: db.prepare<[number], RunRecord['checklist'][number]>(CHECKLIST).all(run),
    claim: head.claim,
    permit: head.permit === null ? null : (readPermit(db, head.permit) ?? null),
    sessions: db.prepare<[number], Session>(SESSIONS).all(run),
  };
}

const ORIGIN = `SELECT original_run AS run, ${namedColumns(['identity', 'imported'])} FROM imports WHERE run = ?`;

const CALIBRATION = `
  SELECT name AS id, ${namedColumns(['kind', 'text', 'sha256'])}
  FROM run_calibration JOIN calibration_records ON calibration_records.id = run_calibration.record
  WHERE run = ? ORDER BY position`;

const CHECKLIST = `
  SELECT ${namedColumns(['item', 'answer', 'by', 'at'])} FROM checklist_answers WHERE run = ? ORDER BY position`;

const SESSIONS = `
  SELECT ${namedColumns(['number', 'started', 'at_s', 'first_point', 'before', 'permit'])}
  FROM sessions WHERE run = ? ORDER BY number`;

const PROBES = `
  SELECT ${namedColumns(['at_s', 'probe', 'unit', 'value'])} FROM probe_samples WHERE run = ? ORDER BY id`;

/** The columns of `points` that a point is kept in. */
export const POINT_COLUMNS = [
  ...(['number', 'step', 'stepKind', 'nominal_Hz', 'frequency_Hz', 'driven'] as const),
  ...(['load_ohm', 'mains_V', 'cell', 'level_dB', 'asked_W', 'at_s'] as const),
] as const satisfies readonly (keyof Point)[];

const POINTS = `SELECT ${namedColumns(POINT_COLUMNS)} FROM points WHERE run = ? ORDER BY number`;

/** The points of a run, in the order played. */
export function readPoints(db: Database, run: number): Point[] {
  type Stored = Omit<Point, 'driven'> & { readonly driven: string };
  const rows = db.prepare<[number], Stored>(POINTS).all(run);
  const lists = new Map<string, number[]>();
  return rows.map((row) => {
    const driven = lists.get(row.driven) ?? (fromJson(row.driven) as number[]);
    lists.set(row.driven, driven);
    // Into the row itself: a copy of it costs as much as reading it.
    return Object.assign(row, { driven });
  });
}

const READINGS = `SELECT ${READ_COLUMNS} FROM readings WHERE run = ? ORDER BY point, id`;

/**
 * What belongs to a reading elsewhere is taken from the lists that the sums of a run prove, rather than joined to it: a damaged
 * index may lead a join to another row, or to none, and the list to the right one.
 */
function readings(db: Database, run: number, points: readonly Point[], parts: ReadParts): Reading[] {
  const harmonicsOf = parts.harmonics === false ? () => [] : harmonicsReader(db);
  const spectrumOf = parts.spectra === false ? () => null : spectrumReader(db);
  const played = new Map(points.map((point) => [point.number, point]));
  const captured = new Map(readCaptures(db, run).map((capture) => [capture.point, capture]));
  // As arrays, rows of so many columns come in half the time.
  const rows = db.prepare<[number]>(READINGS).raw().all(run) as ReadingCells[];
  return rows.map((cells) => {
    const { id, point, channel } = readingKeys(cells);
    const { step, load_ohm } = played.get(point)!;
    const kept = captured.get(point);
    return fromReadingCells(cells, {
      step,
      load_ohm,
      capture: kept?.channels.includes(channel) ? kept.file : null,
      harmonics: harmonicsOf(id),
      spectrum: spectrumOf(id),
    });
  });
}

const HARMONICS = 'SELECT "order", frequency_Hz, rms FROM harmonics WHERE reading = ? ORDER BY "order"';

/** By far the most rows of a run. Asked for by reading, and not all at once: the garbage is then young, and cheap. */
function harmonicsReader(db: Database): (reading: number) => Harmonic[] {
  type Stored = [order: number, frequency_Hz: number | null, rms: number | null];
  const statement = db.prepare<[number]>(HARMONICS).raw();
  // By index: taking a row apart by pattern takes as long as reading it.
  const harmonic = (row: Stored): Harmonic => ({
    order: row[0],
    frequency_Hz: row[1] ?? Number.NaN,
    rms: row[2] ?? Number.NaN,
  });
  return (reading) => (statement.all(reading) as Stored[]).map(harmonic);
}

const SPECTRUM = `SELECT ${namedColumns(['frequency_Hz', 'level_dB'])} FROM spectra WHERE reading = ?`;

function spectrumReader(db: Database): (reading: number) => DrawnSpectrum | null {
  type Stored = { readonly frequency_Hz: Buffer; readonly level_dB: Buffer };
  const statement = db.prepare<[number], Stored>(SPECTRUM);
  return (reading) => {
    const row = statement.get(reading);
    return row
      ? { frequency_Hz: unpackDoubles(row.frequency_Hz), level_dB: unpackDoubles(row.level_dB) }
      : null;
  };
}

const FINDINGS = `SELECT ${namedColumns(FINDING_COLUMNS)} FROM findings WHERE run = ? ORDER BY id`;

const readFindings = (db: Database, run: number): StoredFinding[] =>
  db.prepare<[number], FindingRow>(FINDINGS).all(run).map(fromFindingRow);

const EVENTS = `SELECT ${namedColumns(EVENT_COLUMNS)} FROM events WHERE run = ? ORDER BY id`;

const readEvents = (db: Database, run: number): RunEvent[] =>
  db.prepare<[number], EventRow>(EVENTS).all(run).map(fromEventRow);
