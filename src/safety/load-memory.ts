/** How warm one load of one channel is, and what it has taken. */
export interface LoadWarmth {
  readonly channel: number;
  /** Nominal. */
  readonly load_ohm: number;
  /** First-order mean of its power. */
  readonly mean_W: number;
  /** Since it was last cold. */
  readonly energy_J: number;
}

/** What a run puts into its loads is kept this often, seconds, each time as it can be when it is kept next. */
export const KEEP_s = 5;

/** What is known of the loads of a bench beyond one run. */
export interface LoadMemory {
  /** As warm as they are when a run begins, by all that was played into them before; a load that is not listed is cold. */
  readonly before: readonly LoadWarmth[];
  /** What is to be told of that. */
  readonly words: readonly string[];
  /**
   * Keeps what this run has put into its loads by itself. Told often, and each time for a little longer than until the next: should
   * this process be killed, what is kept is not too little.
   *
   * @returns why it cannot be kept; null when it is
   */
  keep(now: readonly LoadWarmth[]): string | null;
}
