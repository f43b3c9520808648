import { closeSync, fstatSync, renameSync, statSync, writeSync } from 'node:fs';
import { type Logger, pino } from 'pino';
import { NoRegularFile, openRegular } from '../../files/open-regular.js';

/** A night of points takes a few megabytes. */
const ROTATION: Rotation = { bytes: 5_000_000, older: 2 };

/**
 * The log of a run, beside the database: one JSON object a line, in at most three files of 5 MB. Written synchronously,
 * so that the last lines before a crash are there. A log that cannot be written never stops a run: that is said
 * once, and the run goes on without.
 */
export function openLog(databasePath: string, complain: (text: string) => void, rotation = ROTATION): Logger {
  const path = `${databasePath}.log`;
  const file = new RotatingFile(path, rotation, (reason) =>
    complain(`the log ${path} cannot be written: ${reason}`),
  );
  return pino({ base: null, timestamp: pino.stdTimeFunctions.isoTime }, file);
}

/** How large a file may grow, and how many older ones are kept beside it. */
export interface Rotation {
  readonly bytes: number;
  /** At least 1: `path.1` is the newest of them. */
  readonly older: number;
}

/**
 * A text file of bounded size: once it is full it becomes `path.1`, what was `path.1` becomes `path.2`, and so on; the
 * oldest goes. Lines are written synchronously. Several programs may write to the same path: whoever finds it
 * full moves it, the others notice. It never throws: what goes wrong is told once, and the line is lost.
 */
export class RotatingFile {
  #descriptor: number | null = null;
  #told = false;

  constructor(
    private readonly path: string,
    private readonly rotation: Rotation,
    private readonly complain: (reason: string) => void,
  ) {}

  write(line: string): void {
    try {
      if (this.#isFull()) this.#rotate();
      this.#descriptor ??= openRegular(this.path, 'a');
      writeSync(this.#descriptor, line);
    } catch (error) {
      if (!this.#told) this.complain(reasonOf(error));
      this.#told = true;
      this.close();
    }
  }

  /** The next line opens the file again. */
  close(): void {
    const descriptor = this.#descriptor;
    this.#descriptor = null;
    if (descriptor !== null) closeSync(descriptor);
  }

  #isFull(): boolean {
    if (this.#descriptor !== null) return fstatSync(this.#descriptor).size >= this.rotation.bytes;
    return (statSync(this.path, { throwIfNoEntry: false })?.size ?? 0) >= this.rotation.bytes;
  }

  #rotate(): void {
    const own = this.#descriptor === null ? null : fstatSync(this.#descriptor).ino;
    this.close();
    // Another program may have moved it already: then there is a new one to go on with.
    if (own !== null && statSync(this.path, { throwIfNoEntry: false })?.ino !== own) return;
    for (let age = this.rotation.older; age >= 1; age -= 1) {
      const from = age === 1 ? this.path : `${this.path}.${age - 1}`;
      if (statSync(from, { throwIfNoEntry: false })) renameSync(from, `${this.path}.${age}`);
    }
  }
}

const reasonOf = (error: unknown): string => {
  if (error instanceof NoRegularFile) return 'a folder, a pipe or a device stands there';
  return error instanceof Error ? error.message : String(error);
};
