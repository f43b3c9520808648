import { closeSync, fstatSync, fsyncSync, readSync, rmSync, writeSync } from 'node:fs';
import { openRegular } from '../../files/open-regular.js';
import type { Outcome } from '../../record/outcome.js';
import type { StoredPart } from '../../record/run-part.js';
import type { Permit, RunRecord } from '../../record/run-record.js';
import { fromLine, toLine } from './exact-line.js';

/** What a run is before its first part, or before the first of a further session. Its lists of parts are empty. */
export interface JournalHead {
  readonly kind: 'head';
  readonly record: RunRecord;
  readonly permits: readonly Permit[];
}

/** How the run ended. */
export interface JournalEnd {
  readonly kind: 'end';
  readonly outcome: Outcome;
  readonly reason: string;
  readonly ended: string;
}

type JournalLine = JournalHead | StoredPart | JournalEnd;

/** A run as a journal holds it. */
export interface JournalledRun {
  readonly head: JournalHead;
  readonly parts: readonly StoredPart[];
  /** Null: the run was not closed. */
  readonly end: JournalEnd | null;
}

/**
 * Keeps a run once more, beside the database, while it is recorded: a file to which lines are added, each with a sum of its own. A
 * database that is taken away, written over or cut can be made anew from it, at once or after the program was killed. It is
 * removed once the run is safe in the database.
 *
 * What fails here ends no run: a journal that could not be written is not whole, and is none.
 */
export class RunJournal {
  readonly #path: string;
  readonly #descriptor: number;
  #whole = true;

  private constructor(path: string, descriptor: number) {
    this.#path = path;
    this.#descriptor = descriptor;
  }

  /** Begins a journal with what the run has already. Null where it cannot be written. */
  static begin(path: string, head: JournalHead, parts: Iterable<StoredPart>): RunJournal | null {
    let journal: RunJournal;
    try {
      journal = new RunJournal(path, openRegular(path, 'w+'));
    } catch {
      return null;
    }
    journal.#write(head);
    for (const part of parts) journal.#write(part);
    journal.#flush();
    return journal;
  }

  /** Adds what has just been committed. A point is on the disk when this returns. */
  add(line: StoredPart | JournalEnd): void {
    this.#write(line);
    if (line.kind === 'point' || line.kind === 'end') this.#flush();
  }

  /** What it holds, also when somebody has moved or removed its file; null when it is not whole. */
  read(): JournalledRun | null {
    return this.#whole ? readLines(this.#descriptor) : null;
  }

  /** Lets go of the file and leaves it. */
  close(): void {
    closeSync(this.#descriptor);
  }

  /** Lets go of the file and removes it. */
  remove(): void {
    this.close();
    rmSync(this.#path, { force: true });
  }

  #write(line: JournalLine): void {
    this.#try(() => {
      const bytes = Buffer.from(toLine(line));
      for (let done = 0; done < bytes.length; ) done += writeSync(this.#descriptor, bytes, done);
    });
  }

  #flush(): void {
    this.#try(() => fsyncSync(this.#descriptor));
  }

  #try(work: () => void): void {
    if (!this.#whole) return;
    try {
      work();
    } catch {
      this.#whole = false;
    }
  }
}

/** What a journal that a program has left behind holds; null when there is nothing in it that could be read. */
export function readJournal(path: string): JournalledRun | null {
  let descriptor: number;
  try {
    descriptor = openRegular(path);
  } catch {
    return null;
  }
  try {
    return readLines(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

/** Up to the first line that is not whole: the last one may have been cut short. */
function readLines(descriptor: number): JournalledRun | null {
  const bytes = Buffer.alloc(fstatSync(descriptor).size);
  const length = readSync(descriptor, bytes, 0, bytes.length, 0);
  const parts: StoredPart[] = [];
  let head: JournalHead | null = null;
  for (const text of bytes.toString('utf8', 0, length).split('\n')) {
    const line = fromLine(text) as JournalLine | undefined;
    if (line === undefined) break;
    if (line.kind === 'end') return head && { head, parts, end: line };
    if (line.kind === 'head') head = line;
    else parts.push(line);
  }
  return head && { head, parts, end: null };
}
