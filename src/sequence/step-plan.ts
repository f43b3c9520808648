import type { z } from 'zod';
import type { CoherentTone } from '../signal/coherent-tone.js';
import type { StepLayout } from './lay-out.js';
import type { EnergisedBase, StepBase, WiredBase } from './step-base.js';

/** What a question of a sequence may have confirmed. */
export const ASKED_SUBJECTS = ['ambient', 'mains-voltage', 'mains-frequency', 'input-used'] as const;

/** What an operator's answer is about, when something else is later asked of it. */
export const SUBJECTS = [...ASKED_SUBJECTS, 'connection', 'same-set-up'] as const;

export type Subject = (typeof SUBJECTS)[number];

/** The most that a step asks of one channel and its load. */
export interface Duty {
  readonly peak_V: number;
  readonly peak_A: number;
  /** The highest power at any instant, and the mean while the signal stands: what warms a load. */
  readonly peak_W: number;
  readonly mean_W: number;
}

export const NO_DUTY: Duty = { peak_V: 0, peak_A: 0, peak_W: 0, mean_W: 0 };

/** Of a steady sine of `mean_W` into a load. */
export function sineDuty(mean_W: number, load_ohm: number): Duty {
  const peak_V = Math.sqrt(2 * mean_W * load_ohm);
  return { peak_V, peak_A: Math.sqrt((2 * mean_W) / load_ohm), peak_W: 2 * mean_W, mean_W };
}

/** With so little of the most that a step may ask for, a wiring may be checked. */
export const safeShareOf = (most_W: number): number => most_W / 1000;

/**
 * What a stretch of a step is spent on. `fixed` parts take what they take; how long the others take depends on how many captures
 * a unit needs, and how long it takes to settle.
 */
export type PartKind = 'fixed' | 'aim' | 'levels' | 'tone' | 'search' | 'causes';

/** A stretch of a step, in the order of the steps but not always in that of the list. */
export interface StepPart {
  /** Unique within the step: `set-up`, `aim`, `levels`, `causes`, `stand`, or the nominal frequency in hertz. */
  readonly name: string;
  readonly kind: PartKind;
  /** By the estimate. */
  readonly seconds: number;
  /** Null where no tone plays. */
  readonly nominal_Hz: number | null;
}

/** Finding the gain: a first tone, and one nearer to the level. */
export const GAIN_CAPTURES = 2;
export const NEARER_CAPTURES = 1;
/** A capture is a record, the ramps and the wait around it, and on some units another half record until it has settled. */
const RECORDS_PER_LOOK = 1.05;
const AROUND_LOOK_s = 0.085;
/** Reading and confirming a text takes about this long; what it asks for may take longer. */
export const ASK_s = 20;

/** About how long it takes to read one setting. */
const captureSeconds = ({ frames, rate_Hz }: CoherentTone) =>
  (RECORDS_PER_LOOK * frames) / rate_Hz + AROUND_LOOK_s;

/** A part that takes what it takes. */
export const fixedPart = (name: string, seconds: number): StepPart => ({
  name,
  kind: 'fixed',
  seconds,
  nominal_Hz: null,
});

/** A part of so many looks at one tone. */
export const capturePart = (
  name: string,
  kind: PartKind,
  captures: number,
  tone: CoherentTone,
): StepPart => ({
  name,
  kind,
  seconds: captures * captureSeconds(tone),
  nominal_Hz: tone.nominal_Hz,
});

/** The frequency nearest to 1 kHz. */
export function middleTone(tones: readonly CoherentTone[]): CoherentTone {
  const off = (tone: CoherentTone) => Math.abs(Math.log(tone.nominal_Hz / 1000));
  return tones.reduce((best, tone) => (off(tone) < off(best) ? tone : best));
}

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

/** What a step has the operator confirm. */
export interface StepQuestion {
  readonly text: string;
  readonly confirms: readonly Subject[];
  /** Whether it makes sense only once the loads of the steps that follow are connected and the unit is on. */
  readonly onceConnected: boolean;
}

export interface CommonPlan<Keys extends object, Step extends StepBase> {
  readonly kind: Step['kind'];
  /** Of its keys in a sequence file. */
  readonly schema: z.ZodType<Keys> & z.ZodObject;
  /** The key that a content stands for which is no map: `rest: 5 min`. Null: it is always a map. */
  readonly short: string | null;
  /** Lays the step out for a bench; null when anything about it is wrong (and was noted). */
  layOut(at: StepLayout<Keys>): Step | null;
  /** What the step is made of, without what has to be set up before it. Their seconds add up to those of the step. */
  parts(step: Step): readonly StepPart[];
  /** About how many points it keeps. */
  points(step: Step): number;
  /** The most that it asks of one channel with a load of so many measured ohms. */
  duty(step: Step, load_ohm: number): Duty;
  /** What it does, in one line: `climb at 997 Hz from 50 mW, mark 0.1 % and 1 %`. */
  words(step: Step): string;
  /** What the operator has to confirm; null when nothing. */
  question(step: Step): StepQuestion | null;
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

/** What every kind answers alike that plays a sine of a step's power at most, and is written as a map. */
export const PLAYS = {
  short: null,
  needs: 'signal',
  duty: ({ most_W }: EnergisedBase, load_ohm: number) => sineDuty(most_W, load_ohm),
  question: () => null,
  repeats: true,
  standsAlone: false,
} as const;
