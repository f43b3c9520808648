import { createHash } from 'node:crypto';
import { accessSync, constants, mkdirSync, renameSync, rmdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { readRegular } from '../../files/open-regular.js';
import { syncFolder } from '../../files/sync-folder.js';
import { writeThrough } from '../../files/write-through.js';
import type { StoredCapture } from '../../record/run-part.js';
import { CaptureFileChanged, CaptureMissing } from '../contract/store-errors.js';

const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

/** The folder `<database>.captures`, with one WAV file per point whose samples are kept. */
export class CaptureFolder {
  readonly path: string;

  constructor(database: string) {
    this.path = `${database}.captures`;
  }

  /** Makes the folder if it is missing. Throws the file system's error when files cannot be made in it. */
  prepare(): void {
    mkdirSync(this.path, { recursive: true });
    accessSync(this.path, constants.W_OK);
  }

  /**
   * Writes one file, named after its owner (letters, digits and dashes) and point. It has its final name only once all of it is on the disk. Throws the file system's
   * error when that fails, and leaves nothing behind.
   */
  write(owner: string, point: number, bytes: Uint8Array): StoredCapture {
    this.prepare();
    const hash = sha256(bytes);
    // Part of the hash is in the name, so that no file of an earlier database is ever overwritten.
    const file = `${owner}-point-${String(point).padStart(4, '0')}-${hash.slice(0, 8)}.wav`;
    const unfinished = join(this.path, `${file}.part`);
    try {
      writeThrough(unfinished, bytes);
      renameSync(unfinished, join(this.path, file));
      syncFolder(this.path);
    } catch (error) {
      rmSync(unfinished, { force: true });
      throw error;
    }
    return { file, sha256: hash };
  }

  /** Takes away a file that was written and is not wanted after all. */
  remove({ file }: StoredCapture): void {
    rmSync(join(this.path, file), { force: true });
  }

  /** Takes away the folder itself when nothing is in it. */
  removeIfEmpty(): void {
    try {
      rmdirSync(this.path);
    } catch {
      // Something is in it, or it is not there: both are as wanted.
    }
  }

  /** The bytes as they were written; throws CaptureMissing or CaptureFileChanged otherwise. */
  read({ file, sha256: expected }: StoredCapture): Uint8Array {
    // The name comes out of a database that may come from a stranger: it must not lead out of the folder.
    if (!/^[\w-]+\.wav$/.test(file))
      throw new CaptureMissing(this.path, 'a capture has a name that no capture can have');
    const path = join(this.path, file);
    const bytes = readIfThere(path);
    if (bytes === null)
      throw new CaptureMissing(path, 'the capture is not there: it was moved or deleted after the run');
    if (sha256(bytes) !== expected) throw new CaptureFileChanged(path);
    return bytes;
  }
}

function readIfThere(path: string): Uint8Array | null {
  try {
    return readRegular(path, Number.POSITIVE_INFINITY);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
}
