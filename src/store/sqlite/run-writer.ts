import type { Settling } from '../../measure/settled.js';
import type { Finding } from '../../record/finding.js';
import { findingsOfResults } from '../../record/findings-of-results.js';
import type { Result } from '../../record/old-results.js';
import type { Outcome } from '../../record/outcome.js';
import type { RunEvent } from '../../record/run-event.js';
import type { Point, ProbeSample, Reading } from '../../record/run-record.js';
import { StoreGone, StoreSpoilt } from '../contract/store-faults.js';
import { CaptureFolder } from './capture-folder.js';
import type { Connection } from './connect.js';
import { DatabaseWatch, type Harm } from './database-watch.js';
import { faultFrom } from './explain-failure.js';
import { readPoints } from './read-run.js';
import { rescue, rescuedPath } from './rescue.js';
import { type CaptureMeta, type KeptConclusion, RunRows } from './run-rows.js';
import { SpareCopy } from './spare-copy.js';
import type { StartedRun } from './start-run.js';

/** What was concluded from a run as it ended, and the version of the program that did. */
export interface Conclusions {
  readonly version: string;
  readonly list: readonly KeptConclusion[];
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
  readonly #rows: RunRows;
  readonly #now: () => Date;
  readonly #watch: DatabaseWatch;
  readonly #spare: SpareCopy | null;
  #open = true;
  /** What was done to the database; nothing is written to it any more. */
  #harm: Harm | null = null;
  /** Where what is left of the run goes then. */
  #rescued = '';

  constructor(connection: Connection, { run, lock }: StartedRun, now: () => Date) {
    this.run = run;
    this.#connection = connection;
    this.#lock = lock;
    this.#captures = new CaptureFolder(connection.file);
    this.#rows = new RunRows(connection.db, run);
    this.#now = now;
    this.#watch = new DatabaseWatch(connection, run);
    this.#spare = SpareCopy.of(connection.db, run);
  }

  /**
   * Stores a point with all its readings, or nothing. `step`, `point` and `load_ohm` of each reading must
   * be the point's own; its `capture` is not looked at, since `addCapture` sets it.
   *
   * @param settlings how the record behind each reading had settled; left out or null: not known
   */
  addPoint(point: Point, readings: readonly Reading[], settlings: readonly (Settling | null)[] = []): void {
    this.#commit((rows) => rows.addPoint(point, readings, settlings), 1);
  }

  /**
   * Keeps the raw samples of a stored point: `bytes`, a WAV file, in the folder `<database>.captures`.
   * Returns the name of the file in it, which is the `capture` of that point's readings from now on.
   */
  addCapture(point: number, bytes: Uint8Array, { rate_Hz, frames, channels }: CaptureMeta): string {
    return this.#recorded(() => {
      const stored = this.#captures.write(`run-${this.run}`, point, bytes);
      this.#commit((rows) => rows.addCapture(point, stored, { rate_Hz, frames, channels }));
      return stored.file;
    });
  }

  addFinding(finding: Finding): void {
    this.#commit((rows) => rows.addFinding(finding));
  }

  /** A result in the shape of version 0.1, kept as the findings that it is. */
  addResult(result: Result): void {
    const points = readPoints(this.#connection.db, this.run);
    for (const finding of findingsOfResults([result], points)) this.addFinding(finding);
  }

  addEvent(event: RunEvent): void {
    this.#commit((rows) => rows.addEvent(event));
  }

  addProbeSample(sample: ProbeSample): void {
    this.#commit((rows) => rows.addProbeSample(sample));
  }

  /**
   * Closes the run. Safe to call again: the first outcome stands. When even this cannot be written the
   * StoreFault is thrown all the same, and the run will show as interrupted.
   *
   * @param conclusions what the run comes to, for other programs
   */
  finish(outcome: Outcome, reason: string, conclusions: Conclusions | null = null): void {
    if (!this.#open) return;
    try {
      const ended = this.#now().toISOString();
      this.#commit((rows) => {
        if (conclusions) rows.addConclusions(conclusions.list, conclusions.version);
        rows.end(outcome, reason, ended);
      });
      // Nothing plays any more: time to see whether all of it can be read back.
      this.#recorded(() => this.#requireUnhurt(this.#watch.inspect()));
    } finally {
      this.abandon();
    }
  }

  /** Lets go of the run without closing it; unless it is finished, it shows as interrupted from now on. */
  abandon(): void {
    this.#open = false;
    // Not before: until then something may be playing, and a copy takes its time.
    if (this.#harm !== null) rescue(this.#connection, this.#rescued, this.#harm, this.#spare);
    this.#harm = null;
    this.#spare?.close();
    this.#lock.release();
  }

  #commit(work: (rows: RunRows) => void, points = 0): void {
    this.#recorded(() => {
      this.#requireUnhurt(this.#watch.harm());
      this.#connection.db.transaction(() => work(this.#rows)).immediate();
      this.#watch.committed(points);
    });
    this.#spare?.add(work);
  }

  /** @throws StoreGone, StoreSpoilt */
  #requireUnhurt(harm: Harm | null): void {
    this.#harm ??= harm;
    if (this.#harm === null) return;
    const { file } = this.#connection;
    this.#rescued ||= rescuedPath(file, this.run);
    throw this.#harm === 'moved' ? new StoreGone(file, this.#rescued) : new StoreSpoilt(file, this.#rescued);
  }

  #recorded<T>(work: () => T): T {
    if (!this.#open) throw new Error(`run ${this.run} is closed and takes nothing more`);
    try {
      return work();
    } catch (error) {
      if (isDamage(error)) this.#requireUnhurt('spoilt');
      throw faultFrom(error, this.#connection);
    }
  }
}

/** SQLite itself has met a page that makes no sense. */
function isDamage(error: unknown): boolean {
  return /^SQLITE_(CORRUPT|NOTADB)/.test((error as { code?: string }).code ?? '');
}
