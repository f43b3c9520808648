import { type BigIntStats, statSync } from 'node:fs';
import { basename } from 'node:path';
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
  const current = async () => {
    const found = look(path);
    if (found !== null && seen !== null && isSame(found, seen)) return store;
    const next = await openStore(path, { mode: 'read' });
    await store.close();
    store = next;
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
    powers: async (runs) => (await current()).powers(runs),
    run: async (number) => (await current()).run(number),
    floorOf: floorOfRun,
    close: () => store.close(),
  };
}

const look = (path: string): BigIntStats | null =>
  statSync(path, { bigint: true, throwIfNoEntry: false }) ?? null;

/** Written over in place it keeps its number but not its time; so it does when a run is recorded, which costs an opening. */
const isSame = (one: BigIntStats, other: BigIntStats): boolean =>
  one.ino === other.ino && one.dev === other.dev && one.size === other.size && one.mtimeNs === other.mtimeNs;
