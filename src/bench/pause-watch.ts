import { uptime } from 'node:os';

/** Two clocks of this computer, milliseconds. On Linux the first stands still while the computer sleeps; the second does not. */
export interface Clocks {
  running_ms(): number;
  sinceBoot_ms(): number;
}

// Elsewhere than on Linux the time since boot comes in whole seconds, of which each would look like a pause.
const COMPUTER: Clocks = {
  running_ms: () => performance.now(),
  sinceBoot_ms: process.platform === 'linux' ? () => 1000 * uptime() : () => performance.now(),
};

/**
 * Notices that this process did not run for a while: stopped, starved of processor time, or asleep with the computer. Neither
 * clock can be set, so that a corrected date is no pause.
 */
export class PauseWatch {
  #running_ms: number;
  #sinceBoot_ms: number;

  constructor(private readonly clocks: Clocks = COMPUTER) {
    this.#running_ms = clocks.running_ms();
    this.#sinceBoot_ms = clocks.sinceBoot_ms();
  }

  /** How long this process did not look, and how much of that the computer slept. Look often: all that is longer was a pause. */
  look(): Pause {
    const [running_ms, sinceBoot_ms] = [this.clocks.running_ms(), this.clocks.sinceBoot_ms()];
    const [ran_ms, passed_ms] = [running_ms - this.#running_ms, sinceBoot_ms - this.#sinceBoot_ms];
    [this.#running_ms, this.#sinceBoot_ms] = [running_ms, sinceBoot_ms];
    return { whole_ms: Math.max(ran_ms, passed_ms), slept_ms: Math.max(0, passed_ms - ran_ms) };
  }
}

/** Milliseconds from one check to the next. */
export interface Pause {
  readonly whole_ms: number;
  readonly slept_ms: number;
}

/** The longest pause of a process that a busy computer explains. */
const LONGEST_BUSY_MS = 2000;
/** What is on its way to a device lasts no longer: a sleep beyond it ends in silence. The clocks differ by up to 20 ms. */
const LONGEST_SLEEP_MS = 200;

/** Whether nobody can tell what the unit did meanwhile: the computer slept, or the process was stopped. */
export const stoodStill = ({ whole_ms, slept_ms }: Pause): boolean =>
  whole_ms > LONGEST_BUSY_MS || slept_ms > LONGEST_SLEEP_MS;
