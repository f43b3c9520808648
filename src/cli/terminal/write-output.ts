import {
  accessSync,
  closeSync,
  constants,
  existsSync,
  mkdirSync,
  readSync,
  realpathSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname, resolve } from 'node:path';
import { asTold, inputError } from '../../errors/error-table.js';
import { OhmestError } from '../../errors/ohmest-error.js';
import { openRegular } from '../../files/open-regular.js';
import { replaceFile } from '../../files/replace-file.js';
import { writeSpecial } from '../../files/write-special.js';
import { isNamedPipe } from './user-file.js';

/** A file that the user asked for cannot be written. */
export const FileUnwritable = inputError('FILE_UNWRITABLE', asTold);

/** How the documents begin that ohmest writes: an earlier one may be written over, and nothing else. */
const BEGINNINGS = {
  page: /^<!doctype html>/,
  bundle: /^PK.{28}manifest\.json/s,
  csv: /^run,unit,/,
  json: /^\{\s*"run":/,
} as const;

/** What is to be written into a file. */
export type DocumentKind = keyof typeof BEGINNINGS;

/**
 * Writes a file that the user asked for. An earlier one stays until all of the new one is on the disk.
 *
 * @param write is given a path where there is nothing yet
 * @throws FileUnwritable also when a file of another kind stands there, such as a database; what `write` throws
 */
export async function writeUserFile<T>(
  path: string,
  kind: DocumentKind,
  write: (place: string) => T | Promise<T>,
): Promise<T> {
  requirePlace(path, kind);
  try {
    return await replaceFile(path, write);
  } catch (error) {
    throw inWords(path, error);
  }
}

/** The same for a text, which may also go to a device, or to a pipe that the shell has opened. */
export async function writeUserText(path: string, text: string, kind: DocumentKind): Promise<void> {
  requirePlace(path, kind);
  if (isSpecial(path)) explained(path, () => writeSpecial(path, text));
  else await writeUserFile(path, kind, (place) => writeFileSync(place, text));
}

function isSpecial(path: string): boolean {
  const there = statSync(path, { throwIfNoEntry: false });
  return there !== undefined && !there.isFile() && !there.isDirectory();
}

/**
 * Makes sure, without writing anything, that a file can be written later.
 *
 * @param database where the run is about to be recorded: no file for anything else, also while it is not there yet
 * @throws FileUnwritable
 */
export function requireWritable(path: string, kind: DocumentKind, database?: string): void {
  const taken = database === undefined ? [] : ['', '-wal', '-shm', '-journal'].map((end) => database + end);
  if (taken.some((file) => resolve(path) === resolve(file)))
    throw new FileUnwritable({
      what: 'the runs are recorded into this file',
      where: path,
      mend: 'Name another file',
    });
  requirePlace(path, kind);
  explained(path, () => {
    const there = statSync(path, { throwIfNoEntry: false });
    if (there?.isDirectory()) throw Object.assign(new Error('a folder'), { code: 'EISDIR' });
    if (there) accessSync(path, constants.W_OK);
    // The new one is written beside it.
    if (!there || there.isFile()) accessSync(dirname(there ? realpathSync(path) : path), constants.W_OK);
  });
}

/**
 * A slip of the hand must not cost a database of runs or a bench file, and nobody may be reading at the other end of a pipe that
 * lies in a folder: writing would wait for ever. One that the shell has opened has a reader.
 */
function requirePlace(path: string, kind: DocumentKind): void {
  if (path === '')
    throw new FileUnwritable({ what: 'the name of the file to write is empty', mend: 'Name a file' });
  explained(path, () => {
    const there = statSync(path, { throwIfNoEntry: false });
    if (there?.isFIFO() && isNamedPipe(path))
      throw new FileUnwritable({
        what: 'this is a pipe, which waits until somebody reads',
        where: path,
        mend: 'Name a file, or give /dev/stdout, and put | cat > PIPE at the end',
      });
    const [, database] = /^(.+)-(?:wal|shm|journal)$/.exec(path) ?? [];
    if (database !== undefined && existsSync(database))
      throw new FileUnwritable({
        what: `a database keeps its own files under this name, beside ${database}`,
        where: path,
        mend: 'Name another file',
      });
    // It is read again to prove it, which a pipe or a device does not allow.
    if (kind === 'bundle' && isSpecial(path))
      throw new FileUnwritable({
        what: 'this is a device or a pipe, not a file',
        where: path,
        mend: 'Name a file',
      });
    if (!there?.isFile() || there.size === 0) return;
    if (!BEGINNINGS[kind].test(beginningOf(path)))
      throw new FileUnwritable({
        what: 'a file of another kind stands here, and was left as it is',
        where: path,
        mend: 'Name another file, or take this one away first',
      });
  });
}

function beginningOf(path: string): string {
  const file = openRegular(path);
  try {
    const bytes = Buffer.alloc(64);
    return bytes.toString('latin1', 0, readSync(file, bytes));
  } finally {
    closeSync(file);
  }
}

/** Makes a folder that the user asked for, with those above it. @throws FileUnwritable */
export function makeUserFolder(path: string): void {
  explained(path, () => makeFolders(resolve(path), 'EEXIST'));
}

/**
 * One folder after the other: Node 20's own recursive `mkdir` never ends where a file system says of a folder that is
 * there that it is not (`/proc`).
 */
function makeFolders(path: string, inTheWay: 'EEXIST' | 'ENOTDIR'): void {
  if (existsSync(path)) {
    if (statSync(path).isDirectory()) return;
    throw Object.assign(new Error('a file'), { code: inTheWay });
  }
  if (dirname(path) !== path) makeFolders(dirname(path), 'ENOTDIR');
  try {
    mkdirSync(path);
  } catch (error) {
    // Somebody else may have made it in between.
    if (!existsSync(path) || !statSync(path).isDirectory()) throw error;
  }
}

function explained(path: string, action: () => void): void {
  try {
    action();
  } catch (error) {
    throw inWords(path, error);
  }
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'the folder it should go into does not exist',
  EROFS: 'this place may only be read',
  ENAMETOOLONG: 'the name is too long',
  EISDIR: 'this is a folder',
  EACCES: 'this place may not be written to',
  EPERM: 'this place may not be written to',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk is full',
  ENOTDIR: 'a file stands where a folder should be',
  EEXIST: 'a file of this name is in the way',
  ENXIO: 'nothing takes what is written here',
  ELOOP: 'this is a link that leads back to itself',
  EPIPE: 'the reader of this pipe has ended',
};

/** What the file system refuses, in words; other errors come back unchanged. */
function inWords(path: string, error: unknown): unknown {
  const { code } = error as NodeJS.ErrnoException;
  if (error instanceof OhmestError || typeof code !== 'string') return error;
  const what = REASONS[code] ?? `this file cannot be written (${code})`;
  return new FileUnwritable({ what, where: path, mend: 'Name another file', cause: error });
}
