import {
  accessSync,
  closeSync,
  constants,
  existsSync,
  openSync,
  readSync,
  realpathSync,
  type Stats,
  statSync,
} from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import {
  StoreCorrupt,
  StoreFolderMissing,
  StoreIsFolder,
  StoreMissing,
  StoreNotADatabase,
  StoreReadOnly,
  StoreUnreachable,
} from './store-errors.js';

/**
 * `read`: the file must be there and is not changed. `write`: it must be there. `create`: it is made when
 * it is missing, and otherwise opened as for `write`.
 */
export type StoreMode = 'create' | 'read' | 'write';

export interface Location {
  /** Absolute, symbolic links followed, so that every program agrees on the files beside it. */
  readonly file: string;
  /** Null when there is no file yet. */
  readonly stats: Stats | null;
}

// SQLite file format, section 1.3: the header is 100 bytes long and begins with these 16.
const HEADER_BYTES = 100;
const MAGIC = 'SQLite format 3\0';

/**
 * Finds out what lies at `path` before SQLite touches it. Throws the InputError that fits when it cannot
 * be a database to open in this mode.
 */
export function locate(path: string, mode: StoreMode): Location {
  const asked = resolve(path);
  const stats = look(asked);
  if (stats === null) return { file: notYetThere(asked, mode), stats };
  if (stats.isDirectory()) throw new StoreIsFolder(asked);
  if (!stats.isFile()) throw new StoreNotADatabase(asked, 'it is not a regular file');
  const file = realpathSync(asked);
  if (mode !== 'read') {
    requireWritable(file, file, 'the file');
    requireWritable(file, dirname(file), `its folder ${dirname(file)}`);
  }
  // A file of no bytes is what a crash at the very start of `create` leaves.
  if (stats.size > 0) requireHeader(file, stats.size);
  else if (mode !== 'create') throw new StoreNotADatabase(file, 'it is empty');
  return { file, stats };
}

function look(path: string): Stats | null {
  try {
    return statSync(path, { throwIfNoEntry: false }) ?? null;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOTDIR')
      throw new StoreFolderMissing(path, dirname(path));
    throw new StoreUnreachable(path, (error as Error).message, { cause: error });
  }
}

function notYetThere(path: string, mode: StoreMode): string {
  const folder = dirname(path);
  if (!existsSync(folder)) throw new StoreFolderMissing(path, folder);
  if (mode !== 'create') throw new StoreMissing(path);
  requireWritable(path, folder, `its folder ${folder}`);
  return join(realpathSync(folder), path.slice(folder.length));
}

function requireWritable(file: string, target: string, which: string): void {
  try {
    accessSync(target, constants.W_OK);
  } catch (error) {
    throw new StoreReadOnly(file, which, { cause: error });
  }
}

function requireHeader(file: string, size: number): void {
  const header = Buffer.alloc(MAGIC.length);
  try {
    const descriptor = openSync(file, 'r');
    readSync(descriptor, header);
    closeSync(descriptor);
  } catch (error) {
    throw new StoreUnreachable(file, (error as Error).message, { cause: error });
  }
  if (header.toString('latin1') !== MAGIC)
    throw new StoreNotADatabase(file, 'its first bytes are not those of SQLite');
  if (size < HEADER_BYTES) throw new StoreCorrupt(file, `it is cut off after ${size} bytes`);
}
