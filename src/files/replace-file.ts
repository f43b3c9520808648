import { createHash } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  fsyncSync,
  openSync,
  readdirSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { isAlive } from './is-alive.js';
import { syncFolder } from './sync-folder.js';

/**
 * Writes a file that has its name only when all of it is on the disk: until then it has another one, beside it. Whatever goes wrong,
 * what stood there stays. What programs left behind that were killed at this is removed.
 *
 * @param write is given the path to write to, where there is nothing yet
 * @throws what `write` throws, the file system's error
 */
export async function replaceFile<T>(
  path: string,
  write: (unfinished: string) => T | Promise<T>,
): Promise<T> {
  const place = followed(path);
  removeLeftovers(place);
  const unfinished = join(dirname(place), `${prefixOf(place)}${process.pid}`);
  try {
    const done = await write(unfinished);
    const there = statSync(place, { throwIfNoEntry: false });
    if (there) chmodSync(unfinished, there.mode & 0o7777);
    sync(unfinished);
    renameSync(unfinished, place);
    syncFolder(dirname(place));
    return done;
  } catch (error) {
    rmSync(unfinished, { force: true });
    throw error;
  }
}

/** File systems take names of 255 bytes: for one that is nearly so long, a sum of it stands. */
const LONGEST_NAME = 200;

function prefixOf(path: string): string {
  const name = basename(path);
  const short = Buffer.byteLength(name) <= LONGEST_NAME;
  return `.${short ? name : createHash('sha256').update(name).digest('hex')}.unfinished-`;
}

/** A link stays a link: the file that it leads to is replaced. */
function followed(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return path;
  }
}

function sync(path: string): void {
  const file = openSync(path, 'r+');
  try {
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}

/** Only those of this file, and of programs that are no more. What cannot be removed stays: to tidy up must refuse nothing. */
function removeLeftovers(path: string): void {
  const [folder, prefix] = [dirname(path), prefixOf(path)];
  try {
    for (const name of readdirSync(folder)) {
      if (!name.startsWith(prefix)) continue;
      const pid = Number(name.slice(prefix.length));
      if (Number.isInteger(pid) && pid > 0 && pid !== process.pid && !isAlive(pid))
        rmSync(join(folder, name), { force: true });
    }
  } catch {
    // A folder that cannot be listed, or a file of another user.
  }
}
