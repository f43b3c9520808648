import type {
  ClimbKeys,
  HoldKeys,
  MaxPowerKeys,
  QuietKeys,
  RepeatKeys,
  SweepKeys,
} from './sequence-schema.js';

/** A step as written: units read, nothing filled in. */
interface Written {
  readonly id: string;
  /** The keys that lead to it in the file. */
  readonly path: readonly PropertyKey[];
}

export interface WrittenAsk extends Written {
  readonly kind: 'ask';
  readonly text: string;
}

export interface WrittenRest extends Written {
  readonly kind: 'rest';
  readonly seconds: number;
}

interface WrittenKeys<Kind extends string, K> extends Written {
  readonly kind: Kind;
  readonly keys: Partial<K>;
  /** Keys whose value is wrong. */
  readonly spoilt: ReadonlySet<string>;
}

export type WrittenClimb = WrittenKeys<'climb', ClimbKeys>;
export type WrittenSweep = WrittenKeys<'sweep', SweepKeys>;
export type WrittenMaxPower = WrittenKeys<'max-power', MaxPowerKeys>;
export type WrittenHold = WrittenKeys<'hold', HoldKeys> | WrittenKeys<'warm-up', HoldKeys>;
export type WrittenQuiet = WrittenKeys<'quiet', QuietKeys>;

/** Steps that need loads and taps. */
export type WrittenWired = WrittenClimb | WrittenSweep | WrittenMaxPower | WrittenHold | WrittenQuiet;

/** A step that stands for itself. */
export type WrittenSingle = WrittenAsk | WrittenRest | WrittenWired;

/** Steps to be gone through for every combination of loads, mains and driven channels. */
export interface WrittenRepeat extends WrittenKeys<'repeat', RepeatKeys> {
  readonly steps: readonly WrittenSingle[];
}

export type WrittenStep = WrittenSingle | WrittenRepeat;

/** All steps of a file, those inside a repeat too, in the order written. */
export function singleSteps(steps: readonly WrittenStep[]): WrittenSingle[] {
  return steps.flatMap((step) => (step.kind === 'repeat' ? step.steps : [step]));
}
