import { closeSync, existsSync, readSync, realpathSync, type Stats, statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { openRegular } from '../../files/open-regular.js';
import {
  StoreCorrupt,
  StoreFolderMissing,
  StoreIsFolder,
  StoreMissing,
  StoreNotADatabase,
  StoreReadOnly,
} from '../contract/store-errors.js';

/**
 * `read`: the file must be there and is not changed. `write`: it must be there. `create`: it is made when
 * it is missing, and otherwise opened as for `write`.
 */
export type StoreMode = 'create' | 'read' | 'write';

export interface Location {
  /** Absolute, symbolic links followed, so that every program agrees on the files beside it. */
  readonly file: string;
  /** 0 when the file is new. */
  readonly bytes: number;
}

// SQLite file format, section 1.3: the header is 100 bytes long and begins with these 16.
const HEADER_BYTES = 100;
const MAGIC = 'SQLite format 3\0';

/**
 * Finds out what lies at `path` before SQLite touches it. Throws the InputError that fits when it cannot
 * be a database to open in this mode, or the file system's error. In `create` mode a missing file is made, empty.
 */
export function locate(path: string, mode: StoreMode): Location {
  const asked = resolve(path);
  const stats = statsAt(asked);
  if (stats === null) return { file: makeEmpty(asked, mode), bytes: 0 };
  if (stats.isDirectory()) throw new StoreIsFolder(asked);
  if (!stats.isFile()) throw new StoreNotADatabase(asked, 'it is not a regular file');
  const file = realpathSync(asked);
  if (mode !== 'read') requireWritable(file, 'r+', 'the file');
  // A file of no bytes is what a crash at the very start of `create` leaves.
  if (stats.size > 0) requireHeader(file, stats.size);
  else if (mode !== 'create') throw new StoreNotADatabase(file, 'it is empty');
  return { file, bytes: stats.size };
}

function statsAt(path: string): Stats | null {
  try {
    return statSync(path, { throwIfNoEntry: false }) ?? null;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOTDIR')
      throw new StoreFolderMissing(path, dirname(path));
    throw error;
  }
}

/** A new file is made here rather than by SQLite, which would not say why it could not. */
function makeEmpty(path: string, mode: StoreMode): string {
  const folder = dirname(path);
  if (!existsSync(folder)) throw new StoreFolderMissing(path, folder);
  if (mode !== 'create') throw new StoreMissing(path);
  requireWritable(path, 'a', `its folder ${folder}`);
  return realpathSync(path);
}

/** Opens for writing to find out: permission bits alone do not tell (read-only mounts, access lists). */
function requireWritable(file: string, flag: 'r+' | 'a', which: string): void {
  try {
    closeSync(openRegular(file, flag));
  } catch (error) {
    const denied = ['EACCES', 'EPERM', 'EROFS'].includes((error as NodeJS.ErrnoException).code ?? '');
    throw denied ? new StoreReadOnly(file, which, error) : error;
  }
}

function requireHeader(file: string, size: number): void {
  const header = Buffer.alloc(MAGIC.length);
  const descriptor = openRegular(file);
  readSync(descriptor, header);
  closeSync(descriptor);
  if (header.toString('latin1') !== MAGIC)
    throw new StoreNotADatabase(file, 'its first bytes are not those of SQLite');
  if (size < HEADER_BYTES) throw new StoreCorrupt(file, `it is cut off after ${size} bytes`);
}
