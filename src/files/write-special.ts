import { closeSync, constants, openSync, writeSync } from 'node:fs';

/** How long is waited between tries where a pipe or a terminal takes nothing more for now. */
const PAUSE_ms = 10;

/**
 * Writes a text to a pipe or device without ever waiting for somebody to open its other end, as a pipe whose reader is gone and a
 * serial line would have it. Who reads may take his time.
 *
 * @throws the file system's error; ENXIO where nobody reads
 */
export function writeSpecial(path: string, text: string): void {
  // Windows knows neither.
  const neverWait = (constants.O_NONBLOCK ?? 0) | (constants.O_NOCTTY ?? 0);
  const descriptor = openSync(path, constants.O_WRONLY | neverWait);
  try {
    const bytes = Buffer.from(text);
    for (let done = 0; done < bytes.length; )
      try {
        done += writeSync(descriptor, bytes, done);
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') throw error;
        Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, PAUSE_ms);
      }
  } finally {
    closeSync(descriptor);
  }
}
