import type { Database } from 'better-sqlite3';
import { itemsOf, STRANDS, type Strand, withItem } from '../../bundle/seal.js';
import { toJson } from '../../record/exact-json.js';
import type { Outcome } from '../../record/outcome.js';
import type { SettlingFigures, StoredPart } from '../../record/run-part.js';
import type { Point, Reading } from '../../record/run-record.js';
import type { KeptConclusion } from '../contract/run-writer.js';
import { packDoubles } from './doubles.js';
import { EVENT_COLUMNS, toEventRow } from './event-row.js';
import { FINDING_COLUMNS, toFindingRow } from './finding-row.js';
import { insertInto } from './insert-into.js';
import { POINT_COLUMNS } from './read-run.js';
import { toReadingRow, WRITTEN_COLUMNS } from './reading-row.js';
import { SealRows, sealHead } from './seal-row.js';

const ALL: ReadonlySet<Strand> = new Set(STRANDS);

/** Adds rows to one run. Commits nothing: call it within a transaction. */
export class RunRows {
  readonly #insert: ReturnType<typeof statements>;
  readonly #seals: SealRows;

  constructor(
    private readonly db: Database,
    readonly run: number,
  ) {
    this.#insert = statements(db);
    this.#seals = new SealRows(db);
  }

  /** Adds a part, and to the sums of the run what it adds to them. Of a capture its file must be there already. */
  add(part: StoredPart): void {
    this.#addRows(part);
    this.#seals.change(this.run, (now) => {
      const changed: Partial<Record<Strand, string>> = {};
      for (const [strand, item] of itemsOf(part, ALL))
        changed[strand] = withItem(changed[strand] ?? now[strand], item);
      return changed;
    });
  }

  #addRows(part: StoredPart): void {
    switch (part.kind) {
      case 'point':
        this.#addPoint(part);
        return;
      case 'capture':
        this.#addCapture(part);
        return;
      case 'finding':
        this.#insert.finding.run({ run: this.run, ...toFindingRow(part.finding) });
        return;
      case 'event':
        this.#insert.event.run({ run: this.run, ...toEventRow(part.event) });
        return;
      case 'sample': {
        const { at_s, probe, unit, value } = part.sample;
        this.#insert.probe.run({ run: this.run, at_s, probe, unit, value });
        return;
      }
      default:
        part satisfies never;
    }
  }

  #addPoint({ point, readings, settlings = [] }: Extract<StoredPart, { kind: 'point' }>): void {
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

  #addCapture(part: Extract<StoredPart, { kind: 'capture' }>): void {
    const { point, file, sha256, rate_Hz, frames, channels } = part;
    const row = { run: this.run, point, file, sha256, rate_Hz, frames, channels: toJson(channels) };
    this.#insert.capture.run(row);
  }

  /** Keeps what a run shows in place of what it showed when it was last ended: a resumed run ends again. */
  addConclusions(conclusions: readonly KeptConclusion[], version: string): void {
    this.#insert.noConclusions.run({ run: this.run });
    conclusions.forEach(({ kind, text, detail }, position) => {
      this.#insert.conclusion.run({ run: this.run, position, kind, text, detail: toJson(detail), version });
    });
  }

  end(outcome: Outcome, reason: string, ended: string): void {
    this.#insert.end.run({ run: this.run, outcome, reason, ended });
    sealHead(this.db, this.run);
  }
}

function statements(db: Database) {
  return {
    point: insertInto(db, 'points', ['run', ...POINT_COLUMNS]),
    reading: insertInto(db, 'readings', WRITTEN_COLUMNS),
    harmonic: insertInto(db, 'harmonics', ['reading', 'order', 'frequency_Hz', 'rms']),
    spectrum: insertInto(db, 'spectra', ['reading', 'frequency_Hz', 'level_dB']),
    capture: insertInto(db, 'captures', ['run', 'point', 'file', 'sha256', 'rate_Hz', 'frames', 'channels']),
    finding: insertInto(db, 'findings', ['run', ...FINDING_COLUMNS]),
    event: insertInto(db, 'events', ['run', ...EVENT_COLUMNS]),
    conclusion: insertInto(db, 'conclusions', ['run', 'position', 'kind', 'text', 'detail', 'version']),
    noConclusions: db.prepare('DELETE FROM conclusions WHERE run = @run'),
    probe: insertInto(db, 'probe_samples', ['run', 'at_s', 'probe', 'unit', 'value']),
    end: db.prepare('UPDATE runs SET outcome = @outcome, reason = @reason, ended = @ended WHERE id = @run'),
  };
}
