import type { RunContent } from '../../bundle/content.js';
import type { PackedCapture } from '../../bundle/run-schema.js';
import type { FoundPower } from '../../record/found-power.js';
import type { FoundRuns, Page, RunNames, RunSearch, RunSummary } from '../../record/run-list.js';
import type { RunPart } from '../../record/run-part.js';
import type { Permit, RunRecord } from '../../record/run-record.js';
import type {
  FiledPermit,
  Incoming,
  ReadParts,
  Resumption,
  RunFilter,
  RunStart,
  RunStore,
  StoredSettling,
} from '../contract/run-store.js';
import type { Ending, RunWriter } from '../contract/run-writer.js';
import type { SqliteRunWriter as RowWriter } from './run-writer.js';
import { openRuns, type SqliteRuns, type StoreOptions } from './sqlite-runs.js';

/**
 * Opens a database file of runs. Rejects with one InputError (store-errors.ts) that says what is the matter when the file cannot be
 * used in this mode; a file that is refused is left as it was.
 */
export async function openStore(path: string, options: StoreOptions): Promise<RunStore> {
  return new SqliteStore(openRuns(path, options));
}

/** Runs in a SQLite file: every call is over when it returns, and what it throws is what its promise rejects with. */
class SqliteStore implements RunStore {
  readonly #runs: SqliteRuns;

  constructor(runs: SqliteRuns) {
    this.#runs = runs;
  }

  get place(): string {
    return this.#runs.file;
  }

  get notices(): readonly string[] {
    return this.#runs.rebuilt.map(
      ({ run, path }) =>
        `Run ${run} was being recorded when its program ended, and is not whole in the database: it was made anew from its journal, in ${path}.`,
    );
  }

  async begin(start: RunStart): Promise<RunWriter> {
    return new SqliteWriter(this.#runs.createRun(start));
  }

  async resume(run: number, resumption: Resumption): Promise<RunWriter> {
    return new SqliteWriter(this.#runs.resumeRun(run, resumption));
  }

  async runs(filter?: RunFilter): Promise<readonly RunSummary[]> {
    return this.#runs.runs(filter);
  }

  async search(search: RunSearch, page: Page): Promise<FoundRuns> {
    return this.#runs.search(search, page);
  }

  async names(): Promise<RunNames> {
    return this.#runs.names();
  }

  async powers(runs: readonly number[]): Promise<readonly FoundPower[]> {
    return this.#runs.powers(runs);
  }

  async run(run: number, parts?: ReadParts): Promise<RunRecord> {
    return this.#runs.run(run, parts);
  }

  async settlings(run: number, step: string): Promise<readonly StoredSettling[]> {
    return this.#runs.settlings(run, step);
  }

  async captures(run: number): Promise<readonly PackedCapture[]> {
    return this.#runs.captures(run);
  }

  async capture(run: number, point: number): Promise<Uint8Array> {
    return this.#runs.capture(run, point);
  }

  async content(run: number): Promise<RunContent> {
    return this.#runs.content(run);
  }

  importRun(bundle: Incoming): Promise<number> {
    return this.#runs.importRun(bundle);
  }

  async sign(permit: Permit): Promise<void> {
    this.#runs.sign(permit);
  }

  async permits(): Promise<readonly FiledPermit[]> {
    return this.#runs.permits();
  }

  async discard(): Promise<void> {
    this.#runs.discard();
  }

  async close(): Promise<void> {
    this.#runs.close();
  }
}

class SqliteWriter implements RunWriter {
  readonly #writer: RowWriter;

  constructor(writer: RowWriter) {
    this.#writer = writer;
  }

  get run(): number {
    return this.#writer.run;
  }

  async append(part: RunPart): Promise<void> {
    this.#writer.append(part);
  }

  async finish(ending: Ending): Promise<void> {
    this.#writer.finish(ending);
  }
}
