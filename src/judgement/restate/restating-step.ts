import type { Claim } from '../claim/claim.js';

/**
 * How far a restated power can be leaned on. `exact`: arithmetic. `upper-bound`: the unit gives at most this if the
 * claim holds; `lower-bound`: at least this. `estimate`: either way, within the range. `not-computed`: only a
 * measurement can tell.
 */
export type StepKind = 'exact' | 'estimate' | 'upper-bound' | 'lower-bound' | 'not-computed';

/** One step of a claim on its way to other terms, as it is by itself. */
export interface SingleStep {
  /** `same voltage into 8 ohm`. */
  readonly what: string;
  readonly kind: StepKind;
  /** The sum, in figures; empty when there is none. */
  readonly arithmetic: string;
  /** What must be so for it to hold. */
  readonly assumes: string;
  /** Power after the step; null when it is not computed. */
  readonly power_W: number | null;
  /** Least and most after the step, where models disagree; the power is within. */
  readonly range_W: readonly [number, number] | null;
  /** The claim after the step; null when it is not computed. */
  readonly claim: Claim | null;
}

/** A step in its place among others. */
export interface RestatingStep extends SingleStep {
  /** How far this step and all before it, taken together, can be leaned on. */
  readonly so_far: ChainKind;
}

/** How far a chain of steps can be leaned on; `neither`: an upper bound of a lower bound, or the other way round. */
export type ChainKind = StepKind | 'neither';

/** How far several steps, one after the other, can be leaned on. */
export function kindOfAll(steps: readonly SingleStep[]): ChainKind {
  const kinds = new Set(steps.map(({ kind }) => kind));
  for (const kind of ['not-computed', 'estimate'] as const) if (kinds.has(kind)) return kind;
  if (kinds.has('upper-bound') && kinds.has('lower-bound')) return 'neither';
  return [...kinds].find((kind) => kind !== 'exact') ?? 'exact';
}
