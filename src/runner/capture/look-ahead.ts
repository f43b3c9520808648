import type { CoherentTone } from '../../signal/coherent-tone.js';
import { decibelsOfVoltage } from '../../units/decibel.js';
import { needsNoRest } from '../course/rest.js';
import type { StepStage } from '../course/walk.js';
import type { Glimpse } from './glimpse.js';
import type { Follower, NextAim } from './take-record.js';

/** Half a record and the whole of it plan the same level if they differ by no more than this. */
const AGREED_dB = 0.01;

/**
 * Lets a step play on without a pause: the first half of a record decides what follows it, and the whole of it whether
 * that was right. No level goes out before the one below it has been heard and found good; what proves wrong has
 * played for a fraction of a second when it is taken back, within the limits of the step.
 */
export class LookAhead<Next extends NextAim> {
  #planned: Next | null = null;
  #settlesAtOnce = true;

  /**
   * @param decide what would follow if the whole record showed what its first half does; null: wait for it
   * @returns undefined where a record of this step did not settle at once: the next would have to be taken back, too
   */
  follower(decide: (glimpses: readonly Glimpse[]) => Next | null): Follower | undefined {
    if (!this.#settlesAtOnce) return undefined;
    return {
      next: (glimpses) => {
        this.#planned = decide(glimpses);
        return this.#planned;
      },
      tooSoon: () => {
        this.#planned = null;
        this.#settlesAtOnce = false;
      },
    };
  }

  /** What is on its way since the last record, told once; null: nothing. */
  take(): Next | null {
    const planned = this.#planned;
    this.#planned = null;
    return planned;
  }
}

/** A level of a search that may follow a record. */
export interface NextLevel extends NextAim {
  readonly asked_dBW: number;
}

/** What a search does next. */
type SearchMove = { readonly kind: 'play'; readonly asked_dBW: number } | { readonly kind: 'done' };

/** The move of a search by whole records, or to what is on its way already if that is all but the same. */
export function agreedMove<M extends SearchMove>(move: M, planned: NextLevel | null): M {
  if (move.kind === 'done' || planned === null) return move;
  const agreed = Math.abs(planned.asked_dBW - move.asked_dBW) <= AGREED_dB;
  return agreed ? { ...move, asked_dBW: planned.asked_dBW } : move;
}

/** Outputs by a whole record, or those that are on their way already if they are all but the same. */
export function agreedOutputs(outputs_V: readonly number[], planned: NextAim | null): readonly number[] {
  const agreed = planned?.outputs_V.every(
    (output_V, i) => Math.abs(decibelsOfVoltage(output_V / outputs_V[i]!)) <= AGREED_dB,
  );
  return agreed ? planned!.outputs_V : outputs_V;
}

/**
 * Whether a level may follow at once: half a record shows THD+N in the default band only, and no load may have to rest
 * before it.
 */
export function mayFollow(stage: StepStage, asked_W: number, tone: CoherentTone): boolean {
  return stage.step.band === null && needsNoRest(stage, asked_W, tone);
}
