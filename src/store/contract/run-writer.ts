import type { Outcome } from '../../record/outcome.js';
import type { RunPart } from '../../record/run-part.js';

/** What was concluded from a run, in the order of importance, as other programs may read it. */
export interface KeptConclusion {
  readonly kind: string;
  readonly text: string;
  /** Plain data: the figures it rests on. */
  readonly detail: unknown;
}

/** How a run ends. */
export interface Ending {
  readonly outcome: Outcome;
  readonly reason: string;
  /** What the run comes to, and the version of the program that says so: for other programs to read. */
  readonly conclusions?: { readonly version: string; readonly list: readonly KeptConclusion[] };
}

/**
 * Records one run. What was given to it is safe when the promise of the call is kept: a point is, before the next one is played.
 *
 * Every method rejects with a StoreFault when that fails: the call left nothing behind, everything before it is kept, and whoever
 * plays must ramp down.
 */
export interface RunWriter {
  /** Number of the run in this store. */
  readonly run: number;
  append(part: RunPart): Promise<void>;
  /**
   * Closes the run; nothing can be added any more. Safe to call again: the first outcome stands. When even this fails, the run
   * will show as interrupted.
   */
  finish(ending: Ending): Promise<void>;
}
