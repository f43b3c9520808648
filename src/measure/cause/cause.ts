/** What can make the power of an amplifier fall short. */
export type CauseCode =
  | 'supply-sag'
  | 'rail-clipping'
  | 'current-limit'
  | 'slew-limit'
  | 'output-filter'
  | 'crossover'
  | 'protection'
  | 'heat'
  | 'not-clear';

/** One cause, how sure that is, and why. */
export interface Cause {
  readonly cause: CauseCode;
  /** 0 to 1: how often this is right when it is said with this much confidence. */
  readonly confidence: number;
  /** Sentences with figures, as they stand beside the point in a report. */
  readonly evidence: readonly string[];
}
