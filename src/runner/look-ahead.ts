import type { CoherentTone } from '../stimulus/coherent-tone.js';
import type { Glimpse } from './glimpse.js';
import { needsNoRest } from './rest.js';
import type { Follower } from './take-record.js';
import type { StepStage } from './walk.js';

/** Half a record and the whole of it plan the same level if they differ by no more than this. */
const AGREED_dB = 0.01;

/** What a search does next. */
type SearchMove = { readonly kind: 'play'; readonly asked_dBW: number } | { readonly kind: 'done' };

/** A level that may follow the record that is being taken. */
export interface NextLevel {
  readonly asked_dBW: number;
  /** Interface output volts of each measured channel. */
  readonly outputs_V: readonly number[];
}

/**
 * Lets a search of levels play on without a pause: the first half of a record decides what follows it, and the whole of
 * it whether that was right. No level goes out before one below it has been heard and found good; what proves wrong
 * has played for a fraction of a second when it is taken back, within the limits of the step.
 */
export class LookAhead {
  #planned_dBW: number | null = null;
  #settlesAtOnce = true;

  /**
   * @param decide the level that would follow if the whole record showed what its first half does; null: none, or the
   *   loads might have to rest before it
   * @returns undefined where a record of this search did not settle at once: the next would have to be taken back, too
   */
  follower(decide: (glimpses: readonly Glimpse[]) => NextLevel | null): Follower | undefined {
    if (!this.#settlesAtOnce) return undefined;
    return {
      next: (glimpses) => {
        const level = decide(glimpses);
        this.#planned_dBW = level?.asked_dBW ?? null;
        return level?.outputs_V ?? null;
      },
      tooSoon: () => {
        this.#planned_dBW = null;
        this.#settlesAtOnce = false;
      },
    };
  }

  /** The move of a search by whole records, or what is on its way already if that is all but the same. */
  agreed<M extends SearchMove>(move: M): M {
    const planned_dBW = this.#planned_dBW;
    this.#planned_dBW = null;
    if (move.kind === 'done' || planned_dBW === null) return move;
    return Math.abs(planned_dBW - move.asked_dBW) <= AGREED_dB ? { ...move, asked_dBW: planned_dBW } : move;
  }
}

/**
 * Whether a level may follow at once: half a record shows THD+N in the default band only, and no load may have to rest
 * before it.
 */
export function mayFollow(stage: StepStage, asked_W: number, tone: CoherentTone): boolean {
  return stage.step.band === null && needsNoRest(stage, asked_W, tone);
}
