import { randomBytes } from 'node:crypto';
import { rmSync, statfsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { PackedCapture } from '../../bundle/run-schema.js';
import { namesIn } from '../../files/names-in.js';
import type { StoredCapture } from '../../record/run-part.js';
import type { Incoming } from '../contract/run-store.js';
import { StoreNoRoom } from '../contract/store-errors.js';
import { CaptureFolder } from './capture-folder.js';
import type { DatabaseConnection } from './connect.js';
import { inputErrorFrom } from './explain-failure.js';
import { importRun, requireAbsent } from './import-run.js';
import { isAlive, RunLock, removeDeadLock } from './run-lock.js';
import { requireCaptures, requireRoom } from './start-run.js';

/**
 * Takes in a run with its captures: first the files, under names of our own that nothing speaks of yet, then the rows, in
 * one transaction. A program that dies in between leaves files that no run names, and no run; the next import removes them.
 *
 * @throws an InputError; then neither rows nor files are left
 */
export async function importBundle(
  connection: DatabaseConnection,
  bundle: Incoming,
  imported: string,
): Promise<number> {
  const { content, identity } = bundle;
  const files = new Map<number, StoredCapture & PackedCapture>();
  const folder = new CaptureFolder(connection.file);
  let live: LiveImport | null = null;
  try {
    requireRoom(connection.file);
    // Asked before anything is written, and once more when nobody else can come in between.
    requireAbsent(connection, bundle);
    removeLeftovers(connection);
    if (bundle.carried.length > 0) {
      requireCaptures(connection.file);
      requireRoomFor(connection.file, bundle.carried);
      live = liveImport(connection);
    }
    for (const capture of bundle.carried) {
      const { point } = capture;
      const stored = folder.write(live!.owner, point, await bundle.capture(point));
      files.set(point, { ...capture, ...stored });
    }
    return importRun(connection, { content, identity, files, imported });
  } catch (error) {
    for (const stored of files.values()) folder.remove(stored);
    folder.removeIfEmpty();
    throw inputErrorFrom(error, connection);
  } finally {
    live?.release();
  }
}

/** @throws StoreNoRoom */
function requireRoomFor(file: string, captures: readonly PackedCapture[]): void {
  // Four bytes a sample at least; a disk that fills up after all is noticed when it does.
  const needed = captures.reduce((sum, { frames, channels }) => sum + 4 * frames * channels.length, 0);
  const { bavail, bsize } = statfsSync(dirname(file));
  if (bavail * bsize < needed)
    throw new StoreNoRoom(file, `its captures need ${needed} bytes, and ${bavail * bsize} are free`);
}

/** An import that brings captures: its files are named after it, and others see as long as it lives. */
export interface LiveImport {
  readonly owner: string;
  release(): void;
}

/** Six bytes in hexadecimal: as a number it is far from that of any run, and exact. */
const OWN_NAME = /^import-([0-9a-f]{12})-point-\d+-[0-9a-f]{8}\.wav(?:\.part)?$/;

/** To be called before the first capture is written. Throws the error of SQLite when the lock cannot be made. */
export function liveImport({ file }: DatabaseConnection): LiveImport {
  const name = randomBytes(6).toString('hex');
  const lock = new RunLock(file, Number.parseInt(name, 16));
  return { owner: `import-${name}`, release: () => lock.release() };
}

/** Removes what imports have left that were killed: their locks, and captures that no run names. */
export function removeLeftovers({ db, file }: DatabaseConnection): void {
  const folder = new CaptureFolder(file).path;
  // One that cannot be read: whoever wants to write there is told why.
  const named = db.prepare('SELECT 1 FROM captures WHERE file = ?').pluck();
  for (const name of namesIn(folder)) {
    const own = OWN_NAME.exec(name);
    if (!own) continue;
    const number = Number.parseInt(own[1]!, 16);
    // In this order: one that has just ended has committed what it names.
    if (isAlive(file, number)) continue;
    if (named.get(name) === undefined) rmSync(join(folder, name), { force: true });
    removeDeadLock(file, number);
  }
}
