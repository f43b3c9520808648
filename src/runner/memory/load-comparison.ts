import type { EvidencePair } from '../../measure/cause/evidence.js';
import type { CauseQuestion } from '../../measure/cause/question.js';
import type { EnergisedStep, Plan } from '../../sequence/plan.js';
import { decibelsOfPower } from '../../units/decibel.js';
import { SHORT_dB } from '../causes/short-places.js';
import type { KnownPower } from './known-powers.js';

/** A power that one channel was found to give into one load, with what it shows just above it. */
export interface LoadPower extends KnownPower, EvidencePair {
  readonly nominal_Hz: number;
  /** As measured. */
  readonly ohm: number;
}

/** A power before it is found: by which step, of which channel, on what terms. */
export type PowerPlace = Omit<LoadPower, 'power_W' | 'ohm' | keyof EvidencePair>;

/** Where a cause belongs. */
export type CausePlace = Pick<LoadPower, 'step' | 'channel' | 'nominal_Hz' | 'frequency_Hz'>;

/** Whether the plan finds the same powers into another load, with the same channels driven. */
export function hasOtherLoad({ steps }: Plan, step: EnergisedStep): boolean {
  return steps.some(
    (other) =>
      other.kind === step.kind &&
      other.load_ohm !== step.load_ohm &&
      other.driven.join() === step.driven.join(),
  );
}

/**
 * Holds a new power against those into other loads. Stiff rails give the same volts into any load; the lower load falls
 * short when it gets half a decibel less than these volts would give.
 */
export const loadShortfalls = (
  now: LoadPower,
  before: readonly LoadPower[],
): { readonly short: LoadPower; readonly question: CauseQuestion }[] =>
  before
    .filter((other) => differInLoad(now, other))
    .map((other) => (other.load_ohm > now.load_ohm ? ([now, other] as const) : ([other, now] as const)))
    .filter(([low, high]) => decibelsOfPower((high.power_W * high.ohm) / (low.power_W * low.ohm)) > SHORT_dB)
    .map(([short, other]) => {
      const { failing, low, threshold_percent } = short;
      return { short, question: { failing, low, otherLoad: other.failing, threshold_percent } };
    });

/** Whether two powers are of the same channel on the same terms, but into another load. */
export const differInLoad = (a: PowerPlace, b: PowerPlace): boolean =>
  a.kind === b.kind &&
  a.channel === b.channel &&
  a.driven.join() === b.driven.join() &&
  a.nominal_Hz === b.nominal_Hz &&
  a.mains_V === b.mains_V &&
  a.threshold_percent === b.threshold_percent &&
  a.load_ohm !== b.load_ohm;
