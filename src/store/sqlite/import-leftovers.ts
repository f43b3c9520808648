import { randomBytes } from 'node:crypto';
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { namesIn } from '../../files/names-in.js';
import { CaptureFolder } from './capture-folder.js';
import type { DatabaseConnection } from './connect.js';
import { isAlive, RunLock, removeDeadLock } from './run-lock.js';

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
