import type { Settling } from '../measure/settled.js';
import { toJson } from '../record/exact-json.js';
import type { Outcome, Point, ProbeSample, Reading, Result, RunEventRecord } from '../record/run-record.js';
import { CaptureFolder } from './capture-folder.js';
import { type Connection, isInPlace } from './connect.js';
import { packDoubles } from './doubles.js';
import { faultFrom } from './explain-failure.js';
import { insertInto } from './insert-into.js';
import { toReadingRow, WRITTEN_COLUMNS } from './reading-row.js';
import type { StartedRun } from './start-run.js';
import { StoreGone } from './store-faults.js';

/** What the bytes of a capture hold. */
export interface CaptureMeta {
  readonly rate_Hz: number;
  readonly frames: number;
  /** Bench channels in the order of the file's channels. */
  readonly channels: readonly number[];
}

/**
 * Records one run. Every call is one transaction that is on the disk when it returns.
 *
 * Every method throws a StoreFault when that fails: the call left nothing behind, everything before it
 * is kept, and the caller must ramp down. After `finish`, only `finish` may be called.
 */
export class RunWriter {
  readonly run: number;
  readonly #connection: Connection;
  readonly #lock: StartedRun['lock'];
  readonly #captures: CaptureFolder;
  readonly #insert: ReturnType<typeof statements>;
  readonly #now: () => Date;
  #open = true;

  constructor(connection: Connection, { run, lock }: StartedRun, now: () => Date) {
    this.run = run;
    this.#connection = connection;
    this.#lock = lock;
    this.#captures = new CaptureFolder(connection.file);
    this.#insert = statements(connection.db);
    this.#now = now;
  }

  /**
   * Stores a point with all its readings, or nothing. `step`, `point` and `load_ohm` of each reading must
   * be the point's own; its `capture` is not looked at, since `addCapture` sets it.
   *
   * @param settlings how the record behind each reading had settled; left out or null: not known
   */
  addPoint(point: Point, readings: readonly Reading[], settlings: readonly (Settling | null)[] = []): void {
    this.#commit(() => {
      const { driven, ...plain } = point;
      this.#insert.point.run({ run: this.run, ...plain, driven: toJson(driven) });
      readings.forEach((reading, i) => {
        this.#addReading(point, reading, settlings[i] ?? null);
      });
    });
  }

  #addReading(point: Point, reading: Reading, settling: Settling | null): void {
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

  /**
   * Keeps the raw samples of a stored point: `bytes`, a WAV file, in the folder `<database>.captures`.
   * Returns the name of the file in it, which is the `capture` of that point's readings from now on.
   */
  addCapture(point: number, bytes: Uint8Array, { rate_Hz, frames, channels }: CaptureMeta): string {
    return this.#recorded(() => {
      const stored = this.#captures.write(this.run, point, bytes);
      const row = { run: this.run, point, ...stored, rate_Hz, frames, channels: toJson(channels) };
      this.#commit(() => this.#insert.capture.run(row));
      return stored.file;
    });
  }

  addResult(result: Result): void {
    const { kind, step, channel, driven, load_ohm, ...detail } = result;
    const row = { run: this.run, kind, step, channel, load_ohm };
    this.#commit(() => this.#insert.result.run({ ...row, driven: toJson(driven), detail: toJson(detail) }));
  }

  addEvent({ at_s, kind, text }: RunEventRecord): void {
    this.#commit(() => this.#insert.event.run({ run: this.run, at_s, kind, text }));
  }

  addProbeSample({ at_s, probe, unit, value }: ProbeSample): void {
    this.#commit(() => this.#insert.probe.run({ run: this.run, at_s, probe, unit, value }));
  }

  /**
   * Closes the run. Safe to call again: the first outcome stands. When even this cannot be written the
   * StoreFault is thrown all the same, and the run will show as interrupted.
   */
  finish(outcome: Outcome, reason: string): void {
    if (!this.#open) return;
    try {
      const ended = this.#now().toISOString();
      this.#commit(() => this.#insert.end.run({ run: this.run, outcome, reason, ended }));
    } finally {
      this.abandon();
    }
  }

  /** Lets go of the run without closing it; unless it is finished, it shows as interrupted from now on. */
  abandon(): void {
    this.#open = false;
    this.#lock.release();
  }

  #commit(work: () => void): void {
    this.#recorded(() => {
      // SQLite would go on writing into a file that has no name any more.
      if (!isInPlace(this.#connection)) throw new StoreGone(this.#connection.file);
      this.#connection.db.transaction(work).immediate();
    });
  }

  #recorded<T>(work: () => T): T {
    if (!this.#open) throw new Error(`run ${this.run} is closed and takes nothing more`);
    try {
      return work();
    } catch (error) {
      throw faultFrom(error, this.#connection);
    }
  }
}

function statements(db: Connection['db']) {
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
    result: insertInto(db, 'results', ['run', 'kind', 'step', 'channel', 'driven', 'load_ohm', 'detail']),
    event: insertInto(db, 'events', ['run', 'at_s', 'kind', 'text']),
    probe: insertInto(db, 'probe_samples', ['run', 'at_s', 'probe', 'unit', 'value']),
    end: db.prepare('UPDATE runs SET outcome = @outcome, reason = @reason, ended = @ended WHERE id = @run'),
  };
}
