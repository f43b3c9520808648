import { rmSync } from 'node:fs';
import { resolve } from 'node:path';
import type { RunContent } from '../../bundle/content.js';
import { InputError } from '../../errors/ohmest-error.js';
import { DIED } from '../../record/end-cause.js';
import type { FoundRuns, Page, RunNames, RunSearch, RunSummary } from '../../record/run-list.js';
import type { StoredCapture } from '../../record/run-part.js';
import type { Permit, RunRecord } from '../../record/run-record.js';
import type {
  FiledPermit,
  Incoming,
  ReadParts,
  Resumption,
  RunFilter,
  RunStart,
  StoredSettling,
} from '../contract/run-store.js';
import {
  CaptureMissing,
  RunBusy,
  RunComplete,
  RunImported,
  RunNotFound,
  StoreRunsRebuilt,
} from '../contract/store-errors.js';
import { CaptureFolder } from './capture-folder.js';
import { type DatabaseConnection, openConnection, WAIT_MS } from './connect.js';
import { explained } from './explain-failure.js';
import { importBundle } from './import-bundle.js';
import { listRuns } from './list-runs.js';
import type { StoreMode } from './locate.js';
import { insertPermit, listPermits } from './permits.js';
import { type KeptCapture, settlingsOf } from './read-content.js';
import { type KeptContent, readSound } from './read-sound.js';
import { type Rebuilt, seeToJournals } from './rebuild.js';
import { resumeRun } from './resume-run.js';
import { isAlive, removeDeadLocks } from './run-lock.js';
import { SqliteRunWriter } from './run-writer.js';
import { searchRuns } from './search-runs.js';
import { type StartedRun, startRun } from './start-run.js';

export interface StoreOptions {
  /** See `StoreMode`. */
  readonly mode: StoreMode;
  /** How long a statement waits for another program's lock, in milliseconds; 3000 unless given. */
  readonly wait_ms?: number;
  /** The wall clock that dates runs. */
  readonly now?: () => Date;
}

/**
 * Opens a database of runs. Throws one InputError (store-errors.ts) that says what is the matter when
 * the file cannot be used in this mode; a file that is refused is left as it was.
 */
export function openRuns(path: string, { mode, wait_ms = WAIT_MS, now }: StoreOptions): SqliteRuns {
  try {
    return new SqliteRuns(openConnection(path, mode, wait_ms), now);
  } catch (error) {
    // What lies there is no database any more: runs that were being recorded into it may be left.
    const rebuilt = mode === 'read' ? [] : seeToJournals(resolve(path), null);
    if (rebuilt.length === 0 || !(error instanceof InputError)) throw error;
    throw new StoreRunsRebuilt(path, error, rebuilt, error);
  }
}

/**
 * An open database of runs. Its calls are those of `RunStore`, which says what each does; here each is over when it returns, and throws
 * what the promise of that one rejects with.
 */
export class SqliteRuns {
  readonly #connection: DatabaseConnection;
  readonly #now: () => Date;
  readonly #writers = new Set<SqliteRunWriter>();
  /** Runs that the database had lost, made anew from their journals as it was opened. */
  readonly rebuilt: readonly Rebuilt[];

  constructor(connection: DatabaseConnection, now: () => Date = () => new Date()) {
    this.#connection = connection;
    this.#now = now;
    const { mode, db, file } = connection;
    this.rebuilt = mode === 'read' ? [] : explained(connection, () => seeToJournals(file, connection));
    if (mode === 'read') return;
    const exists = db.prepare('SELECT 1 FROM runs WHERE id = ?').pluck();
    explained(connection, () => removeDeadLocks(file, (run) => exists.get(run) !== undefined));
  }

  /** Absolute path of the database file. */
  get file(): string {
    return this.#connection.file;
  }

  createRun(start: RunStart): SqliteRunWriter {
    return explained(this.#connection, () => {
      return this.#writerOf(startRun(this.#connection, start, this.#now().toISOString()));
    });
  }

  resumeRun(run: number, resumption: Resumption): SqliteRunWriter {
    return explained(this.#connection, () => {
      const [stands] = this.runs({ run });
      if (!stands) throw this.#notFound(run);
      if (stands.imported_from !== null) throw new RunImported(this.file, run);
      if (stands.outcome === 'running') throw new RunBusy(this.file, run);
      if (stands.outcome === 'completed') throw new RunComplete(this.file, run);
      const before = `${stands.outcome}: ${stands.reason}`;
      const started = this.#now().toISOString();
      return this.#writerOf(resumeRun(this.#connection, { ...resumption, run, before, started }));
    });
  }

  #writerOf(started: StartedRun): SqliteRunWriter {
    const writer = new SqliteRunWriter(this.#connection, started, this.#now);
    this.#writers.add(writer);
    return writer;
  }

  runs(filter: RunFilter = {}): RunSummary[] {
    return explained(this.#connection, () =>
      listRuns(this.#connection, filter).map((row) =>
        this.#asItStands(row, () => listRuns(this.#connection, { run: row.run })[0]),
      ),
    );
  }

  search(search: RunSearch, { limit, offset }: Page): FoundRuns {
    return explained(this.#connection, () => {
      // All of them: a run may match, or not, by what was changed in it.
      const all = new Map(this.runs().map((run) => [run.run, run]));
      const alive = [...all.values()].filter(({ outcome }) => outcome === 'running').map(({ run }) => run);
      const { total, runs } = searchRuns(this.#connection.db, search, { alive, limit, offset });
      return { total, runs: runs.flatMap((run) => all.get(run) ?? []) };
    });
  }

  names(): RunNames {
    const runs = this.runs();
    const all = (key: 'unit' | 'sequence' | 'bench') => [...new Set(runs.map((run) => run[key]))].sort();
    return { units: all('unit'), sequences: all('sequence'), benches: all('bench') };
  }

  run(id: number, parts: ReadParts = {}): RunRecord {
    return this.#content(id, { ...parts, settlings: false }).record;
  }

  #content(id: number, parts: ReadParts = {}): KeptContent {
    return explained(this.#connection, () => {
      const content = readSound(this.#connection, id, parts);
      if (!content) throw this.#notFound(id);
      const read = () => readSound(this.#connection, id, parts)?.record;
      return { ...content, record: this.#asItStands(content.record, read) };
    });
  }

  capture(run: number, point: number): Uint8Array {
    const { db, file } = this.#connection;
    return explained(this.#connection, () => {
      const stored = db
        .prepare<[number, number], StoredCapture>(
          'SELECT file, sha256 FROM captures WHERE run = ? AND point = ?',
        )
        .get(run, point);
      if (!stored) throw new CaptureMissing(file, `no capture was kept of point ${point} of run ${run}`);
      return new CaptureFolder(file).read(stored);
    });
  }

  content(id: number): RunContent {
    const content = this.#content(id);
    if (content.record.outcome === 'running') throw new RunBusy(this.file, id);
    return { ...content, captures: content.captures.map(({ file: _own, ...capture }) => capture) };
  }

  captures(run: number): readonly KeptCapture[] {
    return this.#content(run, { harmonics: false, spectra: false }).captures;
  }

  async importRun(bundle: Incoming): Promise<number> {
    return importBundle(this.#connection, bundle, this.#now().toISOString());
  }

  settlings(run: number, step: string): StoredSettling[] {
    return settlingsOf(this.#content(run, { harmonics: false, spectra: false }), step);
  }

  sign(permit: Permit): void {
    explained(this.#connection, () => insertPermit(this.#connection.db, permit));
  }

  permits(): FiledPermit[] {
    return explained(this.#connection, () => listPermits(this.#connection.db));
  }

  discard(): void {
    const { db, file } = this.#connection;
    try {
      const filled = db
        .prepare('SELECT EXISTS (SELECT 1 FROM runs) OR EXISTS (SELECT 1 FROM permits)')
        .pluck();
      // Leaving the write-ahead log is only granted to who is alone.
      if (filled.get() === 0 && db.pragma('journal_mode = DELETE', { simple: true }) === 'delete') {
        this.close();
        rmSync(file, { force: true });
      }
    } catch {
      // Somebody else has it, or it has become unreadable: it stays.
    } finally {
      this.close();
    }
  }

  close(): void {
    for (const writer of this.#writers) writer.abandon();
    this.#connection.db.close();
    this.#connection.cleanUp();
  }

  /**
   * A row that says `running` though nobody holds its lock was left by a program that died. It is only
   * shown as interrupted: the file keeps what that program wrote. The second look is for a run that was
   * closed after the first one.
   */
  #asItStands<T extends Pick<RunRecord, 'run' | 'outcome' | 'reason'>>(
    first: T,
    lookAgain: () => T | undefined,
  ): T {
    if (first.outcome !== 'running' || isAlive(this.file, first.run)) return first;
    const row = lookAgain() ?? first;
    return row.outcome === 'running' ? { ...row, outcome: 'interrupted', reason: DIED } : row;
  }

  #notFound(id: number): InputError {
    const newest = this.runs({ limit: 5 }).map(
      ({ run, unit, started }) => `${run} (${unit}, ${started.slice(0, 10)})`,
    );
    return new RunNotFound(this.file, id, newest);
  }
}
