import type { RepeatKeys } from './sequence-schema.js';
import type { StepKindName } from './step-kind.js';

/** The keys of an item as written: units read, nothing filled in. */
interface WrittenKeys<Keys extends object> {
  readonly id: string;
  /** The keys that lead to it in the file. */
  readonly path: readonly PropertyKey[];
  readonly keys: Partial<Keys>;
  /** Keys whose value is wrong. */
  readonly spoilt: ReadonlySet<string>;
}

/** A step that stands for itself. */
export interface WrittenStep<Keys extends object = object> extends WrittenKeys<Keys> {
  readonly kind: StepKindName;
  /** Whether levels of later steps may refer to it. */
  readonly marks: boolean;
}

/** Steps to be gone through for every combination of loads, mains and driven channels. */
export interface WrittenRepeat extends WrittenKeys<RepeatKeys> {
  readonly kind: 'repeat';
  readonly steps: readonly WrittenStep[];
}

export type WrittenItem = WrittenStep | WrittenRepeat;

/** All steps of a file, those inside a repeat too, in the order written. */
export function singleSteps(items: readonly WrittenItem[]): WrittenStep[] {
  return items.flatMap((item) => (item.kind === 'repeat' ? item.steps : [item]));
}
