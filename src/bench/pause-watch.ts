import { uptime } from 'node:os';

/** Two clocks of this computer, milliseconds. On Linux the first stands still while the computer sleeps; the second does not. */
export interface Clocks {
  running_ms(): number;
  sinceBoot_ms(): number;
}

const COMPUTER: Clocks = { running_ms: () => performance.now(), sinceBoot_ms: () => 1000 * uptime() };

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

  /** Milliseconds since the last look, by whichever clock has gone further. Look often: all that is longer was a pause. */
  look(): number {
    const [running_ms, sinceBoot_ms] = [this.clocks.running_ms(), this.clocks.sinceBoot_ms()];
    const gone_ms = Math.max(running_ms - this.#running_ms, sinceBoot_ms - this.#sinceBoot_ms);
    [this.#running_ms, this.#sinceBoot_ms] = [running_ms, sinceBoot_ms];
    return gone_ms;
  }
}
