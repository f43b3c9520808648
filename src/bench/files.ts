import { existsSync, readFileSync } from 'node:fs';

/** How a bench file reaches the files that it names. */
export interface Files {
  exists(path: string): boolean;
  /** Throws when the file cannot be read. */
  read(path: string): string | Uint8Array;
}

/** The files on disk. */
export const onDisk: Files = { exists: existsSync, read: (path) => readFileSync(path) };
