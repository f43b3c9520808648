import { type BigIntStats, statSync } from 'node:fs';
import { basename } from 'node:path';
import { OhmestError } from '../../errors/ohmest-error.js';
import { headlineOf } from '../../judgement/conclude/conclusions-of.js';
import { judgeRun } from '../../judgement/judged-run.js';
import type { RunSummary } from '../../record/run-list.js';
import type { RunStore } from '../../store/contract/run-store.js';
import { openStore } from '../../store/sqlite/sqlite-store.js';
import type { Shelf } from '../../view/browse/shelf.js';
import { floorOfRun } from './floor-of-run.js';

/** A shelf over a database file, which must be closed. */
export interface FreshShelf extends Shelf {
  /** Absolute path of the database file. */
  readonly file: string;
  close(): Promise<void>;
}

/**
 * A shelf that shows the file that stands at a path at the moment, also when another was put into its place: an open
 * database would go on showing the one that is gone. Every run is read anew, so that one that goes on is shown as it
 * stands. While there is no file, or none that is a database of runs, every question throws what `openStore` throws.
 *
 * @param now the clock by which it is told when a file was seen to be another
 * @throws InputError when the file cannot be opened
 */
export async function freshShelf(path: string, now: () => Date = () => new Date()): Promise<FreshShelf> {
  let store = await openStore(path, { mode: 'read' });
  let seen = look(path);
  let replaced: Date | null = null;
  let headlines = new Headlines();
  const current = async () => {
    const found = look(path);
    if (found !== null && seen !== null && isSame(found, seen)) return store;
    const next = await openStore(path, { mode: 'read' });
    await store.close();
    store = next;
    headlines = new Headlines();
    if (found?.ino !== seen?.ino || found?.dev !== seen?.dev) replaced = now();
    seen = look(path);
    return store;
  };
  return {
    file: store.place,
    name: basename(store.place),
    replaced: () => replaced,
    search: async (search, page) => (await current()).search(search, page),
    names: async () => (await current()).names(),
    headline: async (summary) => headlines.of(await current(), summary),
    run: async (number) => (await current()).run(number),
    floorOf: floorOfRun,
    close: () => store.close(),
  };
}

/** What the runs of a store show, each judged once: a run that has ended shows the same until its file is written to. */
class Headlines {
  readonly #known = new Map<number, readonly string[]>();

  async of(store: RunStore, { run, ended }: RunSummary): Promise<readonly string[]> {
    const known = this.#known.get(run);
    if (known) return known;
    const told = await judged(store, run);
    if (ended !== null) this.#known.set(run, told);
    return told;
  }
}

/** A damaged run hides none of the others. */
async function judged(store: RunStore, run: number): Promise<readonly string[]> {
  try {
    return headlineOf(judgeRun(await store.run(run, { harmonics: false, spectra: false })).conclusions);
  } catch (error) {
    if (error instanceof OhmestError) return [error.message];
    throw error;
  }
}

const look = (path: string): BigIntStats | null =>
  statSync(path, { bigint: true, throwIfNoEntry: false }) ?? null;

/** Written over in place it keeps its number but not its time; so it does when a run is recorded, which costs an opening. */
const isSame = (one: BigIntStats, other: BigIntStats): boolean =>
  one.ino === other.ino && one.dev === other.dev && one.size === other.size && one.mtimeNs === other.mtimeNs;
