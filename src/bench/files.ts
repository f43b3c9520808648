import { existsSync } from 'node:fs';
import { namesIn } from '../files/names-in.js';
import { FileTooLong, NoRegularFile, readRegular } from '../files/open-regular.js';

/** How a bench file reaches the files that it names. */
export interface Files {
  exists(path: string): boolean;
  /** Throws when the file cannot be read. */
  read(path: string): string | Uint8Array;
  /** Names in a folder, in no order; none when there is no such folder, or when it cannot be read. */
  list(folder: string): readonly string[];
}

/** Four times the characters that a document may have, each of which may take four bytes. */
const MOST_BYTES = 2 ** 20;

/** The files on disk. */
export const onDisk: Files = {
  exists: existsSync,
  read: (path) => readRegular(path, MOST_BYTES),
  list: namesIn,
};

/** Why a file could not be read, as the end of a sentence that begins with its path. */
export function whyUnreadable(error: unknown): string {
  if (error instanceof NoRegularFile) return 'is a folder, a pipe or a device, not a file';
  if (error instanceof FileTooLong) return `is longer than ${MOST_BYTES / 2 ** 20} MiB`;
  const { code } = error as NodeJS.ErrnoException;
  const reasons: Record<string, string> = {
    ENOENT: 'does not exist, or links to nothing',
    ELOOP: 'is a link that leads back to itself',
    EACCES: 'may not be read',
  };
  return reasons[code ?? ''] ?? `cannot be read${code ? ` (${code})` : ''}`;
}
