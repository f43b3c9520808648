import { readFileSync } from 'node:fs';
import { InputError } from '../errors/ohmest-error.js';

/** A file that the user named cannot be read. */
export class FileUnreadable extends InputError {
  readonly code = 'FILE_UNREADABLE';
}

/** Reads a file that the user named. @throws FileUnreadable */
export function readUserFile(path: string): Buffer {
  try {
    return readFileSync(path);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const reasons: Record<string, string> = {
      ENOENT: 'there is no such file',
      EISDIR: 'this is a folder, not a file',
      EACCES: 'this file may not be read',
    };
    throw new FileUnreadable(
      { what: reasons[code ?? ''] ?? `this file cannot be read (${code})`, where: path },
      { cause: error },
    );
  }
}
