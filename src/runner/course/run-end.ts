import { END_CAUSES, type EndCause } from '../../record/end-cause.js';
import type { Outcome } from '../../record/outcome.js';

/**
 * Thrown inside the runner to end a run for a reason that is not a fault of program or bench. Never leaves
 * the room: `runPlan` turns it into the run's outcome.
 */
export class RunEnd extends Error {
  override readonly name = 'RunEnd';

  constructor(
    readonly by: Exclude<EndCause, 'last-step' | 'bench-fault' | 'program-fault'>,
    readonly reason: string,
  ) {
    super(reason);
  }

  get outcome(): Outcome {
    return END_CAUSES[this.by];
  }
}

/** @throws RunEnd when somebody has asked for the end; who, if not the operator, is the reason of `signal`. */
export function throwIfInterrupted(signal: AbortSignal): void {
  if (!signal.aborted) return;
  const by = typeof signal.reason === 'string' ? signal.reason : 'by the operator';
  throw new RunEnd('asked-to-end', `interrupted ${by}, output ramped down`);
}
