import { partsOf } from '../../bundle/run-parts.js';
import type { RunPart, StoredPart } from '../../record/run-part.js';
import type { Ending } from '../contract/run-writer.js';
import { type RescuedCopy, type StoreFault, StoreGone, StoreSpoilt } from '../contract/store-faults.js';
import { RunJournal } from '../journal/run-journal.js';
import { CaptureFolder } from './capture-folder.js';
import type { DatabaseConnection } from './connect.js';
import { DatabaseWatch, type Harm } from './database-watch.js';
import { faultFrom } from './explain-failure.js';
import { LogKeeper } from './log-keeper.js';
import { readSound } from './read-sound.js';
import { journalPath } from './rebuild.js';
import { rescue } from './rescue.js';
import { RunRows } from './run-rows.js';
import type { StartedRun } from './start-run.js';

/**
 * Records one run. Every call is one transaction that is on the disk when it returns.
 *
 * Every method throws a StoreFault when that fails: the call left nothing behind, everything before it
 * is kept, and the caller must ramp down. After `finish`, only `finish` may be called.
 */
export class SqliteRunWriter {
  readonly run: number;
  readonly #connection: DatabaseConnection;
  readonly #lock: StartedRun['lock'];
  readonly #captures: CaptureFolder;
  readonly #rows: RunRows;
  readonly #now: () => Date;
  readonly #watch: DatabaseWatch;
  readonly #journal: RunJournal | null;
  readonly #log: LogKeeper;
  #open = true;
  /** What was done to the database; nothing is written to it any more. */
  #harm: Harm | null = null;
  /** Where what was recorded went then; see `RescuedCopy`. */
  #rescued: RescuedCopy;
  /** Whether all of it is closed and can be read back. */
  #safe = false;

  constructor(connection: DatabaseConnection, { run, lock }: StartedRun, now: () => Date) {
    this.run = run;
    this.#connection = connection;
    this.#lock = lock;
    this.#captures = new CaptureFolder(connection.file);
    this.#rows = new RunRows(connection.db, run);
    this.#now = now;
    this.#watch = new DatabaseWatch(connection, run);
    this.#journal = journalOf(connection, run);
    this.#log = new LogKeeper(connection.file);
  }

  /**
   * Stores a part, or nothing of it. The samples of a capture go into the folder `<database>.captures`; the name of the file is the
   * `capture` of that point's readings from now on.
   */
  append(part: RunPart): void {
    if (part.kind !== 'capture') {
      this.#keep(part);
      return;
    }
    const { bytes, ...meta } = part;
    this.#recorded(() => {
      this.#keep({ ...meta, ...this.#captures.write(`run-${this.run}`, part.point, bytes) });
    });
  }

  #keep(part: StoredPart): void {
    this.#commit((rows) => rows.add(part), part.kind === 'point' ? 1 : 0);
    this.#journal?.add(part);
  }

  /**
   * Closes the run. Safe to call again: the first outcome stands. When even this cannot be written the
   * StoreFault is thrown all the same, and the run will show as interrupted.
   */
  finish({ outcome, reason, conclusions }: Ending): void {
    if (!this.#open) return;
    try {
      const ended = this.#now().toISOString();
      this.#commit((rows) => {
        if (conclusions) rows.addConclusions(conclusions.list, conclusions.version);
        rows.end(outcome, reason, ended);
      });
      this.#journal?.add({ kind: 'end', outcome, reason, ended });
      // Nothing plays any more: time to see whether all of it can be read back.
      this.#recorded(() => this.#requireUnhurt(this.#watch.inspect()));
      this.#safe = true;
    } catch (error) {
      this.abandon();
      // What has become of the record is known only now.
      throw this.#harm === null ? error : this.#harmed(this.#harm);
    }
    this.abandon();
  }

  /** Lets go of the run without closing it; unless it is finished, it shows as interrupted from now on. */
  abandon(): void {
    if (!this.#open) return;
    this.#open = false;
    // Not before: until then something may be playing, and a copy takes its time.
    if (this.#harm !== null) {
      this.#rescued = rescue(this.#connection, this.run, this.#harm, this.#journal);
      this.#safe = this.#rescued !== null;
    } else if (!this.#safe) this.#safe = this.#watch.inspect() === null;
    // A log of which there is no copy stays as it is, and so does the database: half of it might be poured in.
    if (this.#harm === 'moved' && !this.#safe) this.#log.keep();
    else this.#log.release();
    if (this.#safe) this.#journal?.remove();
    else this.#journal?.close();
    this.#lock.release();
  }

  #commit(work: (rows: RunRows) => void, points = 0): void {
    this.#recorded(() => {
      this.#requireUnhurt(this.#watch.harm());
      this.#connection.db.transaction(() => work(this.#rows)).immediate();
      this.#watch.committed(points);
    });
  }

  /** @throws StoreGone, StoreSpoilt */
  #requireUnhurt(harm: Harm | null): void {
    this.#harm ??= harm;
    if (this.#harm !== null) throw this.#harmed(this.#harm);
  }

  #harmed(harm: Harm): StoreFault {
    const { file } = this.#connection;
    return harm === 'moved' ? new StoreGone(file, this.#rescued) : new StoreSpoilt(file, this.#rescued);
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

/** The journal of a run, begun with what the database has of it. */
function journalOf(connection: DatabaseConnection, run: number): RunJournal | null {
  const content = readSound(connection, run)!;
  const files = new Map(content.captures.map((capture) => [capture.point, capture]));
  const record = { ...content.record, points: [], readings: [], findings: [], events: [], probes: [] };
  return RunJournal.begin(
    journalPath(connection.file, run),
    { kind: 'head', record, permits: content.permits },
    partsOf(content, files),
  );
}

/** SQLite itself has met a page that makes no sense. */
function isDamage(error: unknown): boolean {
  return /^SQLITE_(CORRUPT|NOTADB)/.test((error as { code?: string }).code ?? '');
}
