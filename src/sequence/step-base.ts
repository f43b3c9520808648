import type { Band } from '../measure/analysis.js';

/** Every kind of step. A registry over these is exhaustive: a kind without an answer does not compile. */
export const STEP_KINDS = ['ask', 'rest', 'quiet', 'climb', 'sweep', 'max-power', 'hold', 'warm-up'] as const;

export type StepKindName = (typeof STEP_KINDS)[number];

/** Whether this version knows a kind that a file or a database names. */
export const isStepKind = (name: string): name is StepKindName =>
  (STEP_KINDS as readonly string[]).includes(name);

export interface StepBase {
  readonly kind: StepKindName;
  /** Unique within the plan; given in the file or made from kind and position. */
  readonly id: string;
}

/** An interface input and the channel at whose load its tap sits. */
export interface Tap {
  readonly input: number;
  readonly channel: number;
  /** It sits at the shunt, for the current. */
  readonly shunt?: true;
}

/** A step that needs loads and taps in place. */
export interface WiredBase extends StepBase {
  /** Nominal load on the driven channels. */
  readonly load_ohm: number;
  /** Bench channels that carry the signal, from 1. Of a quiet step: those that are listened to. */
  readonly driven: readonly number[];
  /** Those of them that are read: all, unless the bench has fewer inputs and their taps go round in passes. */
  readonly measured: readonly number[];
  /** Channels that have this load connected: all that any step drives into it. Left out: the driven ones. */
  readonly wired?: readonly number[];
  /** Where the taps sit, when the bench has fewer inputs than channels; left out: one at every load. */
  readonly taps?: readonly Tap[];
  /** Mains voltage that the operator has set for this step; null: as it comes from the wall. */
  readonly mains_V: number | null;
  /** Which cell of a repetition this step belongs to, in words: `4 ohm, channels 1 and 2`; empty outside of any. */
  readonly cell: string;
  /** Null: the default band for each frequency. */
  readonly band: Band | null;
}

/** A step that puts a signal on the unit. */
export interface EnergisedBase extends WiredBase {
  /** No point of this step may ask for more. Never above the smallest rating of the loads used. */
  readonly most_W: number;
}
