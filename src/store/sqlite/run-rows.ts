import type { Database } from 'better-sqlite3';
import type { Settling } from '../../measure/settled.js';
import { toJson } from '../../record/exact-json.js';
import type { StoredFinding } from '../../record/finding.js';
import type { Outcome } from '../../record/outcome.js';
import type { RunEvent } from '../../record/run-event.js';
import type { Point, ProbeSample, Reading } from '../../record/run-record.js';
import type { StoredCapture } from './capture-folder.js';
import { packDoubles } from './doubles.js';
import { EVENT_COLUMNS, toEventRow } from './event-row.js';
import { FINDING_COLUMNS, toFindingRow } from './finding-row.js';
import { insertInto } from './insert-into.js';
import { toReadingRow, WRITTEN_COLUMNS } from './reading-row.js';

/** What the bytes of a capture hold. */
export interface CaptureMeta {
  readonly rate_Hz: number;
  readonly frames: number;
  /** Bench channels in the order of the file's channels. */
  readonly channels: readonly number[];
}

/** What was concluded from a run, in the order of importance, as other programs may read it. */
export interface KeptConclusion {
  readonly kind: string;
  readonly text: string;
  /** Plain data: the figures it rests on. */
  readonly detail: unknown;
}

/** How the record behind a reading had settled, as far as it is kept. */
export type SettlingFigures = Pick<Settling, 'level' | 'residue'>;

/** Adds rows to one run. Commits nothing: call it within a transaction. */
export class RunRows {
  readonly #insert: ReturnType<typeof statements>;

  constructor(
    db: Database,
    readonly run: number,
  ) {
    this.#insert = statements(db);
  }

  /** @param settlings of each reading; left out or null: not known */
  addPoint(
    point: Point,
    readings: readonly Reading[],
    settlings: readonly (SettlingFigures | null)[] = [],
  ): void {
    const { driven, ...plain } = point;
    this.#insert.point.run({ run: this.run, ...plain, driven: toJson(driven) });
    readings.forEach((reading, i) => {
      this.#addReading(point, reading, settlings[i] ?? null);
    });
  }

  #addReading(point: Point, reading: Reading, settling: SettlingFigures | null): void {
    const { number, step, load_ohm } = point;
    if (reading.point !== number || reading.step !== step || reading.load_ohm !== load_ohm)
      throw new Error(
        `a reading of point ${reading.point}, ${reading.step} came with point ${number}, ${step}`,
      );
    const id = Number(this.#insert.reading.run(toReadingRow(this.run, reading, settling)).lastInsertRowid);
    for (const { order, frequency_Hz, rms } of reading.harmonics)
      this.#insert.harmonic.run({ reading: id, order, frequency_Hz, rms });
    if (reading.spectrum === null) return;
    const { frequency_Hz, level_dB } = reading.spectrum;
    this.#insert.spectrum.run({
      reading: id,
      frequency_Hz: packDoubles(frequency_Hz),
      level_dB: packDoubles(level_dB),
    });
  }

  addCapture(
    point: number,
    { file, sha256 }: StoredCapture,
    { rate_Hz, frames, channels }: CaptureMeta,
  ): void {
    this.#insert.capture.run({
      run: this.run,
      point,
      file,
      sha256,
      rate_Hz,
      frames,
      channels: toJson(channels),
    });
  }

  addFinding(finding: StoredFinding): void {
    this.#insert.finding.run({ run: this.run, ...toFindingRow(finding) });
  }

  addEvent(event: RunEvent): void {
    this.#insert.event.run({ run: this.run, ...toEventRow(event) });
  }

  addProbeSample({ at_s, probe, unit, value }: ProbeSample): void {
    this.#insert.probe.run({ run: this.run, at_s, probe, unit, value });
  }

  addConclusions(conclusions: readonly KeptConclusion[], version: string): void {
    conclusions.forEach(({ kind, text, detail }, position) => {
      this.#insert.conclusion.run({ run: this.run, position, kind, text, detail: toJson(detail), version });
    });
  }

  end(outcome: Outcome, reason: string, ended: string): void {
    this.#insert.end.run({ run: this.run, outcome, reason, ended });
  }
}

function statements(db: Database) {
  return {
    point: insertInto(db, 'points', [
      'run',
      'number',
      'step',
      'stepKind',
      'nominal_Hz',
      'frequency_Hz',
      'driven',
      'load_ohm',
      'mains_V',
      'cell',
      'level_dB',
      'asked_W',
      'at_s',
    ]),
    reading: insertInto(db, 'readings', WRITTEN_COLUMNS),
    harmonic: insertInto(db, 'harmonics', ['reading', 'order', 'frequency_Hz', 'rms']),
    spectrum: insertInto(db, 'spectra', ['reading', 'frequency_Hz', 'level_dB']),
    capture: insertInto(db, 'captures', ['run', 'point', 'file', 'sha256', 'rate_Hz', 'frames', 'channels']),
    finding: insertInto(db, 'findings', ['run', ...FINDING_COLUMNS]),
    event: insertInto(db, 'events', ['run', ...EVENT_COLUMNS]),
    conclusion: insertInto(db, 'conclusions', ['run', 'position', 'kind', 'text', 'detail', 'version']),
    probe: insertInto(db, 'probe_samples', ['run', 'at_s', 'probe', 'unit', 'value']),
    end: db.prepare('UPDATE runs SET outcome = @outcome, reason = @reason, ended = @ended WHERE id = @run'),
  };
}
