import { accessSync, constants, existsSync, mkdirSync, statSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { InputError } from '../errors/ohmest-error.js';

/** A file that the user asked for cannot be written. */
export class FileUnwritable extends InputError {
  readonly code = 'FILE_UNWRITABLE';
}

/** Writes a file that the user asked for. @throws FileUnwritable */
export function writeUserFile(path: string, text: string): void {
  explained(path, () => writeFileSync(path, text));
}

/** Makes sure, without writing anything, that a file can be written later. @throws FileUnwritable */
export function requireWritable(path: string): void {
  explained(path, () => {
    if (!existsSync(path)) return accessSync(dirname(path), constants.W_OK);
    if (statSync(path).isDirectory()) throw Object.assign(new Error('a folder'), { code: 'EISDIR' });
    accessSync(path, constants.W_OK);
  });
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
    throw new FileUnwritable(
      {
        what: reasons[code ?? ''] ?? `this file cannot be written (${code})`,
        where: path,
        mend: 'Name another file',
      },
      { cause: error },
    );
  }
}
