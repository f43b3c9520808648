import { existsSync, readdirSync, readFileSync } from 'node:fs';

/** How a bench file reaches the files that it names. */
export interface Files {
  exists(path: string): boolean;
  /** Throws when the file cannot be read. */
  read(path: string): string | Uint8Array;
  /** Names in a folder, in no order; none when there is no such folder, or when it cannot be read. */
  list(folder: string): readonly string[];
}

/** The files on disk. */
export const onDisk: Files = {
  exists: existsSync,
  read: (path) => readFileSync(path),
  list: (folder) => {
    try {
      return readdirSync(folder);
    } catch {
      return [];
    }
  },
};
