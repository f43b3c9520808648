import {
  accessSync,
  closeSync,
  constants,
  existsSync,
  mkdirSync,
  openSync,
  readSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname, resolve } from 'node:path';
import { asTold, inputError } from '../../errors/error-table.js';
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
 * Writes a file that the user asked for.
 *
 * @throws FileUnwritable also when a file of another kind stands there, such as a database
 */
export function writeUserFile(path: string, text: string, kind: DocumentKind): void {
  requirePlace(path, kind);
  explained(path, () => writeFileSync(path, text));
}

/**
 * Makes sure, without writing anything, that a file can be written later.
 *
 * @param database where the run is about to be recorded: no file for anything else, also while it is not there yet
 * @throws FileUnwritable
 */
export function requireWritable(path: string, kind: DocumentKind, database?: string): void {
  if (database !== undefined && resolve(path) === resolve(database))
    throw new FileUnwritable({
      what: 'the runs are recorded into this file',
      where: path,
      mend: 'Name another file',
    });
  requirePlace(path, kind);
  explained(path, () => {
    if (!existsSync(path)) return accessSync(dirname(path), constants.W_OK);
    if (statSync(path).isDirectory()) throw Object.assign(new Error('a folder'), { code: 'EISDIR' });
    accessSync(path, constants.W_OK);
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
  const file = openSync(path, 'r');
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
    if (error instanceof FileUnwritable) throw error;
    const { code } = error as NodeJS.ErrnoException;
    const reasons: Record<string, string> = {
      ENOENT: 'the folder it should go into does not exist',
      EROFS: 'this place may only be read',
      ENAMETOOLONG: 'the name is too long',
      EISDIR: 'this is a folder',
      EACCES: 'this place may not be written to',
      ENOSPC: 'the disk is full',
      ENOTDIR: 'a file stands where a folder should be',
      EEXIST: 'a file of this name is in the way',
    };
    throw new FileUnwritable({
      what: reasons[code ?? ''] ?? `this file cannot be written (${code})`,
      where: path,
      mend: 'Name another file',
      cause: error,
    });
  }
}
