import type { RunStore } from '../contract/run-store.js';
import type { RunWriter } from '../contract/run-writer.js';
import type { SqliteRunWriter } from './run-writer.js';
import { openRuns, type StoreOptions } from './sqlite-runs.js';

/**
 * Opens a database file of runs. Rejects with one InputError (store-errors.ts) that says what is the matter when the file cannot be
 * used in this mode; a file that is refused is left as it was.
 *
 * Every call is over when it returns, and what it throws is what its promise rejects with.
 */
export async function openStore(path: string, options: StoreOptions): Promise<RunStore> {
  const runs = openRuns(path, options);
  return {
    place: runs.file,
    notices: runs.rebuilt.map(
      (one) =>
        `Run ${one.run} was being recorded when its program ended, and is not whole in the database: it was made anew from its journal, in ${one.path}.`,
    ),
    begin: async (start) => promising(runs.createRun(start)),
    resume: async (run, resumption) => promising(runs.resumeRun(run, resumption)),
    runs: async (filter) => runs.runs(filter),
    search: async (search, page) => runs.search(search, page),
    names: async () => runs.names(),
    run: async (run, parts) => runs.run(run, parts),
    settlings: async (run, step) => runs.settlings(run, step),
    captures: async (run) => runs.captures(run),
    capture: async (run, point) => runs.capture(run, point),
    content: async (run) => runs.content(run),
    importRun: (bundle) => runs.importRun(bundle),
    sign: async (permit) => runs.sign(permit),
    permits: async () => runs.permits(),
    discard: async () => runs.discard(),
    close: async () => runs.close(),
  };
}

const promising = (writer: SqliteRunWriter): RunWriter => ({
  run: writer.run,
  append: async (part) => writer.append(part),
  finish: async (ending) => writer.finish(ending),
});
