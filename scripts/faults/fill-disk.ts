import { statfsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** Options of a disk in memory that holds a run: one begins with 16 MiB of free space and not with less. */
export const DISK = 'size=24m';

/** Takes all room that is left on the disk of a folder, by a file named `filler`. */
export function fill(folder: string): void {
  const free = () => {
    const { bavail, bsize } = statfsSync(folder);
    return bavail * bsize;
  };
  for (let left = free(); left > 0; left = free())
    try {
      writeFileSync(join(folder, 'filler'), new Uint8Array(left), { flag: 'a' });
    } catch {
      // As much of it as there was room for is there.
    }
}
