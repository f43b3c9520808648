import { closeSync, fsyncSync, openSync } from 'node:fs';

/** Makes sure that a new file's name is on disk too, where the system can do so. */
export function syncFolder(folder: string): void {
  try {
    const file = openSync(folder, 'r');
    fsyncSync(file);
    closeSync(file);
  } catch {
    // Some systems refuse to open a folder: then the name follows a little later by itself.
  }
}
