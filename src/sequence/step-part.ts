import type { CoherentTone } from '../signal/coherent-tone.js';

/**
 * What a stretch of a step is spent on. `fixed` parts take what they take; how long the others take depends on how many looks
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
export const PROBE_LOOKS = 2;
export const NEARER_LOOKS = 1;
/** A look is a record, the ramps and the wait around it, and on some units another half record until it has settled. */
const RECORDS_PER_LOOK = 1.05;
const AROUND_LOOK_s = 0.085;
/** Reading and confirming a text takes about this long; what it asks for may take longer. */
export const ASK_s = 20;

/** About how long it takes to read one setting. */
const lookSeconds = ({ frames, rate_Hz }: CoherentTone) =>
  (RECORDS_PER_LOOK * frames) / rate_Hz + AROUND_LOOK_s;

/** A part that takes what it takes. */
export const fixedPart = (name: string, seconds: number): StepPart => ({
  name,
  kind: 'fixed',
  seconds,
  nominal_Hz: null,
});

/** A part of so many looks at one tone. */
export const lookPart = (name: string, kind: PartKind, looks: number, tone: CoherentTone): StepPart => ({
  name,
  kind,
  seconds: looks * lookSeconds(tone),
  nominal_Hz: tone.nominal_Hz,
});

/** The frequency nearest to 1 kHz. */
export function middleTone(tones: readonly CoherentTone[]): CoherentTone {
  const off = (tone: CoherentTone) => Math.abs(Math.log(tone.nominal_Hz / 1000));
  return tones.reduce((best, tone) => (off(tone) < off(best) ? tone : best));
}
