import type { z } from 'zod';
import type { CoherentTone } from '../signal/coherent-tone.js';
import type { Duty } from './duty.js';
import type { Layout } from './lay-out.js';
import type { Placed } from './placed.js';
import type { EnergisedBase, StepBase, WiredBase } from './step-base.js';
import type { StepPart } from './step-part.js';
import type { Subject } from './subject.js';

/**
 * What must be known of a kind of step before anything is played: one object a kind, in `steps/<kind>/plan.ts`. Everything is
 * required. What else has to be answered follows from what the step needs.
 */
export type StepPlan<Keys extends object, Step extends StepBase> = CommonPlan<Keys, Step> & {
  readonly short: (keyof Keys & string) | null;
} & (Step extends EnergisedBase
    ? EnergisedPart<Step>
    : Step extends WiredBase
      ? { readonly needs: 'loads' }
      : { readonly needs: 'nothing' });

export interface CommonPlan<Keys extends object, Step extends StepBase> {
  readonly kind: Step['kind'];
  /** Of its keys in a sequence file. */
  readonly schema: z.ZodType<Keys> & z.ZodObject;
  /** The key that a content stands for which is no map: `rest: 5 min`. Null: it is always a map. */
  readonly short: string | null;
  /** Lays the step out for a bench; null when anything about it is wrong (and was noted). */
  layOut(layout: Layout, written: Placed<Keys>): Step | null;
  /** What the step is made of, without what has to be set up before it. Their seconds add up to those of the step. */
  parts(step: Step): readonly StepPart[];
  /** About how many points it keeps. */
  points(step: Step): number;
  /** The most that it asks of one channel with a load of so many measured ohms. */
  duty(step: Step, load_ohm: number): Duty;
  /** What it does, in one line: `climb at 997 Hz from 50 mW, mark 0.1 % and 1 %`. */
  words(step: Step): string;
  /** What the operator has to confirm; null when nothing. */
  question(step: Step): { readonly text: string; readonly confirms: readonly Subject[] } | null;
  /** Where a further session goes on with a step that was interrupted: where it stopped, or from its beginning. */
  readonly resumes: 'here' | 'again';
  /** Whether a further session plays it once more although it was done: always, or as long as nobody has to come for it. */
  readonly afterBreak: 'nothing' | 'once-more' | 'once-more-as-it-stands';
  /** Which kind of power rating its powers may carry. */
  readonly rates: 'continuous' | 'burst' | 'none';
  /** Whether it may stand within a repeat. */
  readonly repeats: boolean;
  /** It ends a stretch of steps that is gone through as a whole, once for every position of the taps. */
  readonly standsAlone: boolean;
  /** Whether every position of the taps plays it, or the first only. */
  readonly passes: 'each' | 'once';
}

/** What a step must answer that puts a signal on the unit. */
export interface EnergisedPart<Step extends EnergisedBase> {
  readonly needs: 'signal';
  /** Every tone that it may play. */
  tones(step: Step): readonly CoherentTone[];
  /** A power so low that the wiring may be checked with it. */
  lowest_W(step: Step): number;
  /** THD+N at which it finds powers, percent. */
  thresholds(step: Step): readonly number[];
  /** Whether levels of later steps may refer to what it finds at its thresholds. */
  readonly marks: boolean;
  /** The step with its references under the ids that others have in one pass of the taps. */
  inPass(step: Step, suffix: string): Step;
  /** Whether its level stands between its points, so that its loads stay warm. */
  readonly levelStands: boolean;
  /** Whether it explains at every frequency why power falls short, so that a climb of the same plan need not. */
  readonly explainsOverBand: boolean;
}
