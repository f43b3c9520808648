import type { Clocks } from '../../src/bench/pause-watch.js';

/** The two clocks of a computer, set by hand. */
export class HandClocks implements Clocks {
  #running_ms = 1000;
  #asleep_ms = 500;

  running_ms(): number {
    return this.#running_ms;
  }

  sinceBoot_ms(): number {
    return this.#running_ms + this.#asleep_ms;
  }

  /** Lets time pass, awake or with this process stopped. */
  run(ms: number): void {
    this.#running_ms += ms;
  }

  /** Lets the computer sleep. */
  sleep(ms: number): void {
    this.#asleep_ms += ms;
  }
}
