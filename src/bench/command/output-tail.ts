import { oneLine } from '../../units/visible-text.js';

const KEPT_BYTES = 8192;
const SHOWN_LINES = 6;
const SHOWN_LETTERS = 200;

/** The end of what a program printed: enough for a message, however much it prints. */
export class OutputTail {
  #kept: Buffer = Buffer.alloc(0);

  push(chunk: Buffer): void {
    const all = Buffer.concat([this.#kept, chunk]);
    this.#kept = all.subarray(Math.max(0, all.length - KEPT_BYTES));
  }

  /** The last lines in one, with nothing hidden in them; empty when nothing was printed. */
  lastLines(): string {
    return this.#kept
      .toString('utf8')
      .split(/[\r\n]+/)
      .map((line) => oneLine(line, SHOWN_LETTERS))
      .filter((line) => line.length > 0)
      .slice(-SHOWN_LINES)
      .join(' / ');
  }
}
