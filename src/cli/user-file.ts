import { readFileSync, statSync } from 'node:fs';
import { InputError } from '../errors/ohmest-error.js';

/** A file that the user named cannot be read. */
export class FileUnreadable extends InputError {
  readonly code = 'FILE_UNREADABLE';
}

/** Reads a file that the user named. @throws FileUnreadable */
export function readUserFile(path: string): Buffer {
  try {
    // Some devices never end. A pipe is fine: the shell hands over what a command prints as one.
    if (statSync(path).isCharacterDevice()) throw Object.assign(new Error('a device'), { code: 'DEVICE' });
    return readFileSync(path);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const reasons: Record<string, string> = {
      ENOENT: 'there is no such file',
      EISDIR: 'this is a folder, not a file',
      EACCES: 'this file may not be read',
      ELOOP: 'this is a link that leads back to itself',
      DEVICE: 'this is a device, not a file',
    };
    throw new FileUnreadable(
      { what: reasons[code ?? ''] ?? `this file cannot be read (${code})`, where: path },
      { cause: error },
    );
  }
}
