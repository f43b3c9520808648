import { closeSync, fsyncSync, openSync, writeFileSync } from 'node:fs';

/** Writes a file that is on the disk when this returns. @throws the file system's error */
export function writeThrough(path: string, content: string | Uint8Array): void {
  const file = openSync(path, 'w');
  try {
    writeFileSync(file, content);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}
