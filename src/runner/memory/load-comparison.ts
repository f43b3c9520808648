import type { EvidencePair } from '../../measure/cause/evidence.js';
import type { CauseQuestion } from '../../measure/cause/question.js';
import type { EnergisedStep, Plan } from '../../sequence/plan.js';
import { decibelsOfPower } from '../../units/decibel.js';
import { SHORT_dB } from '../causes/short-places.js';

/** Where a cause belongs. */
export interface CausePlace {
  readonly step: string;
  readonly channel: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
}

/** A power that one channel was found to give into one load, with what it shows just above it. */
export interface LoadPower extends EvidencePair {
  readonly at: CausePlace;
  readonly kind: EnergisedStep['kind'];
  readonly mains_V: number | null;
  readonly threshold_percent: number;
  readonly power_W: number;
  /** As measured. */
  readonly ohm: number;
}

/** A power that falls short of what another load promises. */
export interface LoadShortfall {
  readonly short: LoadPower;
  readonly question: CauseQuestion;
}

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
export function loadShortfalls(now: LoadPower, before: readonly LoadPower[]): LoadShortfall[] {
  return before
    .filter((other) => alike(now, other) && other.at.load_ohm !== now.at.load_ohm)
    .map((other) => (other.at.load_ohm > now.at.load_ohm ? ([now, other] as const) : ([other, now] as const)))
    .filter(([low, high]) => decibelsOfPower((high.power_W * high.ohm) / (low.power_W * low.ohm)) > SHORT_dB)
    .map(([short, other]) => {
      const { failing, low, threshold_percent } = short;
      return { short, question: { failing, low, otherLoad: other.failing, threshold_percent } };
    });
}

function alike(a: LoadPower, b: LoadPower): boolean {
  return (
    a.kind === b.kind &&
    a.at.channel === b.at.channel &&
    a.at.driven.join() === b.at.driven.join() &&
    a.at.nominal_Hz === b.at.nominal_Hz &&
    a.mains_V === b.mains_V &&
    a.threshold_percent === b.threshold_percent
  );
}
