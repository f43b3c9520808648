import type { ChildProcess } from 'node:child_process';
import type { Socket } from 'node:net';
import { startProgram } from './start-program.js';

/**
 * What keeps a computer from sleeping for as long as it runs, by system. Each runs `cat`, which ends with its standard input, and
 * so with this process however that ends.
 */
const INHIBITORS: Readonly<Partial<Record<NodeJS.Platform, readonly string[]>>> = {
  linux: ['systemd-inhibit', '--what=sleep:idle', '--who=ohmest', '--why=Playing into an amplifier', 'cat'],
  darwin: ['caffeinate', '-is', 'cat'],
};

const BY_HAND = 'the computer may go to sleep during a run; turn sleep off in its settings';

/** Keeps the computer from sleeping, where the system allows it, until `release`. Says once where it does not. */
export class KeepAwake {
  readonly #child: ChildProcess | null;
  #released = false;
  #notes: string[] = [];

  /** @param argv left out: what this system has for it; null: nothing */
  constructor(argv: readonly string[] | null = INHIBITORS[process.platform] ?? null) {
    const [program] = argv ?? [];
    this.#child = argv && startProgram(argv, { stdio: ['pipe', 'ignore', 'ignore'] });
    if (this.#child === null) {
      this.#notes.push(`${BY_HAND} (ohmest knows no way on this system)`);
      return;
    }
    this.#child.on('error', (error: NodeJS.ErrnoException) => {
      const why = error.code === 'ENOENT' ? 'was not found' : `did not start: ${error.message}`;
      this.#notes.push(`${BY_HAND} (${program} ${why})`);
    });
    this.#child.on('exit', (status) => {
      if (!this.#released) this.#notes.push(`${BY_HAND} (${program} ended with status ${status})`);
    });
    // Nobody waits for it.
    this.#child.stdin!.on('error', () => {});
    (this.#child.stdin as Socket).unref();
    this.#child.unref();
  }

  /** Why the computer may sleep after all; each sentence is handed out once. */
  takeNotes(): readonly string[] {
    const notes = this.#notes;
    this.#notes = [];
    return notes;
  }

  /** Lets the computer sleep again. Safe to call twice. */
  release(): void {
    this.#released = true;
    this.#child?.stdin?.destroy();
  }
}
