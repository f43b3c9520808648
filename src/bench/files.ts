import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';

/** How a bench file reaches the files that it names. */
export interface Files {
  exists(path: string): boolean;
  /** Throws when the file cannot be read. */
  read(path: string): string | Uint8Array;
  /** Names in a folder, in no order; none when there is no such folder, or when it cannot be read. */
  list(folder: string): readonly string[];
}

/** What stands at a path is no file: a folder, a pipe, a device. */
class NoPlainFile extends Error {}

/** A file is longer than any that is named in a bench file. */
class TooLong extends Error {}

/** Four times the characters that a document may have, each of which may take four bytes. */
const MOST_BYTES = 2 ** 20;

/** The files on disk. */
export const onDisk: Files = {
  exists: existsSync,
  read: readPlainFile,
  list: (folder) => {
    try {
      return readdirSync(folder);
    } catch {
      return [];
    }
  },
};

/** Bytes of a file. Throws for what is none or far too long, and before it is opened: a pipe waits for ever, some devices never end. */
export function readPlainFile(path: string): Buffer {
  const there = statSync(path);
  if (!there.isFile()) throw new NoPlainFile();
  if (there.size > MOST_BYTES) throw new TooLong();
  return readFileSync(path);
}

/** Why a file could not be read, as the end of a sentence that begins with its path. */
export function whyUnreadable(error: unknown): string {
  if (error instanceof NoPlainFile) return 'is a folder, a pipe or a device, not a file';
  if (error instanceof TooLong) return `is longer than ${MOST_BYTES / 2 ** 20} MiB`;
  const { code } = error as NodeJS.ErrnoException;
  const reasons: Record<string, string> = {
    ENOENT: 'does not exist, or links to nothing',
    ELOOP: 'is a link that leads back to itself',
    EACCES: 'may not be read',
  };
  return reasons[code ?? ''] ?? `cannot be read${code ? ` (${code})` : ''}`;
}
