import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Bench } from '../../src/bench/bench.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { recordRun } from '../../src/cli/run/record-run.js';
import { reportFailure, statusOf } from '../../src/cli/terminal/fail.js';
import { OhmestError } from '../../src/errors/ohmest-error.js';
import type { Reading, RunRecord } from '../../src/record/run-record.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import type { RunStore } from '../../src/store/contract/run-store.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { openStore } from '../../src/store/sqlite/sqlite-store.js';

/** What a run is made of, and where something may be done to it. */
export interface HarmedRun {
  readonly bench: Bench;
  readonly setup: BenchSetup;
  readonly sequence: string;
  /** An empty folder, in which the database is `runs.db`. */
  readonly folder: string;
  /** Called when point `number` has been committed, and whenever the database takes something not. */
  readonly committed?: (number: number) => void;
  readonly refused?: () => void;
  /** Called when it is over, before anybody looks into the database. */
  readonly over?: () => void;
  /** Where the run is to be found when it is over; left out: where it was made. */
  readonly endsIn?: string;
}

/** What became of it. */
export interface Outcome {
  readonly outcome: string;
  readonly status: number;
  /** The reason of its end, or what was said of the failure. */
  readonly message: string;
  /** Everything that was said on the way. */
  readonly said: readonly string[];
  /** Readings whose commit came back, and the run as it is found afterwards. */
  readonly committed: readonly Reading[];
  readonly record: RunRecord;
}

/** Plays a sequence into a database just as `ohmest run` does, but for the bench and the hooks. */
export async function harmedRun(run: HarmedRun): Promise<Outcome> {
  const { bench, setup, sequence, folder, committed = () => {}, refused = () => {} } = run;
  const file = join(folder, 'runs.db');
  const store = await openStore(file, { mode: 'create' });
  const readings: Reading[] = [];
  const took = (number: number, of: readonly Reading[]) => {
    readings.push(...of);
    committed(number);
  };
  watchCommits(store, took, refused);
  const said: string[] = [];
  const say = (text: string) => void said.push(text);
  const terminal = { out: say, err: say, live: false, width: 80, talkWidth: 1e9, colour: false };
  const plan = makePlan(readSequence(sequence, 'sequence.yaml'), setup);
  const watcher = { begin: () => {}, say, end: () => {} };
  let status: number;
  let failure: string | null = null;
  try {
    const record = await recordRun({
      store,
      plan,
      held: { setup, bench, gap: null },
      unit: 'Invented unit',
      checklist: [],
      keepCaptures: false,
      ask: async () => true,
      signal: new AbortController().signal,
      watchers: [watcher],
    });
    status = statusOf(record.outcome === 'running' ? 'fault' : record.outcome);
  } catch (error) {
    if (!(error instanceof OhmestError)) throw error;
    status = reportFailure(error, terminal, false);
    failure = said.at(-1)!;
  } finally {
    await store.close();
    run.over?.();
  }
  const record = recordIn(run.endsIn ?? file);
  return {
    outcome: record.outcome,
    status,
    message: failure ?? record.reason,
    said,
    committed: readings,
    record,
  };
}

/** Calls back with every point whose commit has come back, and with every write that failed. */
function watchCommits(
  store: RunStore,
  took: (number: number, readings: readonly Reading[]) => void,
  refused: () => void,
): void {
  const begin = store.begin.bind(store);
  store.begin = async (start) => {
    const writer = await begin(start);
    const append = writer.append.bind(writer);
    writer.append = async (part) => {
      try {
        await append(part);
      } catch (error) {
        refused();
        throw error;
      }
      if (part.kind === 'point') took(part.point.number, part.readings);
    };
    return writer;
  };
}

function recordIn(file: string): RunRecord {
  const store = openRuns(file, { mode: 'read' });
  try {
    return store.run(1);
  } finally {
    store.close();
  }
}

/** Lets `use` work in an empty folder that is removed afterwards. */
export async function inFolder<T>(use: (folder: string) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-faults-'));
  try {
    return await use(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
