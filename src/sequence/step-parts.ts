import type { CoherentTone } from '../signal/coherent-tone.js';
import { decibelsOfPower, powerRatio } from '../units/decibel.js';
import { operatorChange } from './operator-change.js';
import { type ClimbStep, isWired, type MaxPowerStep, type PlanStep, type WiredStep } from './plan.js';

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
const PROBE_LOOKS = 2;
const NEARER_LOOKS = 1;
/** A climb rises in steps of 3 dB, and of 1.5 dB within 15 dB of the highest level allowed. */
const COARSE_STEP_dB = 3;
const GENTLE_STEP_dB = 1.5;
const NEAR_TOP_dB = 15;
/** Most units give way about so far below what load or interface would take. */
const USUAL_END_dB = 4;
/** Looks that narrow each mark down, and more for every further channel. */
const MARK_LOOKS = 3;
const MARK_LOOKS_PER_CHANNEL = 0.6;
/** Looks that a ceiling takes at each frequency when its neighbour's is known, and more for every further channel. */
const CEILING_LOOKS = 3;
const CEILING_LOOKS_PER_CHANNEL = 0.45;
/** Looks of its first frequency beyond that, when it is searched from below. */
const CEILING_SEARCH_LOOKS = 15;
/** Looks that explain why powers fall short: none on some units, up to fourteen after ceilings on others. */
const CEILING_CAUSE_LOOKS = 6;
const CLIMB_CAUSE_LOOKS = 1;
/** Looks per point of a sweep that trims its level. */
const LOOKS_PER_TRIMMED_POINT = 1.15;
/** Below this many supplies sag, and the more channels they feed the more: a look waits for them, and is taken again. */
const BASS_Hz = 100;
const BASS_SHARE = 0.7;
/** A look is a record, the ramps and the wait around it, and on some units another half record until it has settled. */
const RECORDS_PER_LOOK = 1.05;
const AROUND_LOOK_s = 0.085;
/** Hearing each tap out when loads or taps were moved. */
const LISTEN_s = 0.2;
/** Reading and confirming a text takes about this long; what it asks for may take longer. */
export const ASK_s = 20;

/** About how long it takes to read one setting. */
const lookSeconds = ({ frames, rate_Hz }: CoherentTone) =>
  (RECORDS_PER_LOOK * frames) / rate_Hz + AROUND_LOOK_s;

/** How many times longer a frequency takes in the bass, as the shipped twins do. */
const inBass = (looks: number, { nominal_Hz }: CoherentTone, driven: readonly number[]) =>
  nominal_Hz < BASS_Hz ? looks * (1 + BASS_SHARE * Math.log2(driven.length)) : looks;

/** Looks that a climb still needs to rise from one power to another. */
export function riseLooks(from_W: number, to_W: number, most_W: number): number {
  const gentleFrom_W = most_W / powerRatio(NEAR_TOP_dB);
  const coarse_dB = from_W < gentleFrom_W ? decibelsOfPower(Math.min(to_W, gentleFrom_W) / from_W) : 0;
  const gentle_dB = to_W > gentleFrom_W ? decibelsOfPower(to_W / Math.max(from_W, gentleFrom_W)) : 0;
  return Math.max(0, coarse_dB) / COARSE_STEP_dB + Math.max(0, gentle_dB) / GENTLE_STEP_dB;
}

/** Where a climb is expected to end while nothing is known of the unit. */
export function usualEnd_W({ from_W, most_W }: Pick<ClimbStep, 'from_W' | 'most_W'>): number {
  return Math.max(from_W, most_W / powerRatio(USUAL_END_dB));
}

/** Looks that a climb needs once it has risen, to narrow its marks down. */
export function markLooks({
  marks_percent,
  measured,
}: Pick<ClimbStep, 'marks_percent' | 'measured'>): number {
  return marks_percent.length * (MARK_LOOKS + MARK_LOOKS_PER_CHANNEL * (measured.length - 1));
}

/** Looks that are kept as points, for a climb as a whole. */
export function climbLooks(step: ClimbStep): number {
  return 1 + riseLooks(step.from_W, usualEnd_W(step), step.most_W) + markLooks(step);
}

/** Looks that are kept as points, for a ceiling at each frequency and once for the first. */
export function maxPowerLooks({ measured, start }: MaxPowerStep): { each: number; first: number } {
  const each = CEILING_LOOKS + CEILING_LOOKS_PER_CHANNEL * (measured.length - 1);
  return { each, first: start ? 0 : CEILING_SEARCH_LOOKS };
}

/** The frequency nearest to 1 kHz. */
export function middleTone(tones: readonly CoherentTone[]): CoherentTone {
  const off = (tone: CoherentTone) => Math.abs(Math.log(tone.nominal_Hz / 1000));
  return tones.reduce((best, tone) => (off(tone) < off(best) ? tone : best));
}

/** What a step is made of, without what has to be set up before it. Their seconds add up to those of the step. */
export function partsOf(step: PlanStep): readonly StepPart[] {
  const fixed = (name: string, seconds: number): StepPart => ({
    name,
    kind: 'fixed',
    seconds,
    nominal_Hz: null,
  });
  const looked = (name: string, kind: PartKind, looks: number, tone: CoherentTone): StepPart => ({
    name,
    kind,
    seconds: looks * lookSeconds(tone),
    nominal_Hz: tone.nominal_Hz,
  });
  switch (step.kind) {
    case 'ask':
      return [fixed('whole', ASK_s)];
    case 'rest':
    case 'quiet':
      return [fixed('whole', step.seconds)];
    case 'hold':
    case 'warm-up':
      return [looked('aim', 'aim', PROBE_LOOKS + NEARER_LOOKS, step.tone), fixed('stand', step.seconds)];
    case 'climb':
      return [
        looked('aim', 'aim', PROBE_LOOKS, step.tone),
        looked('levels', 'levels', climbLooks(step), step.tone),
        looked('causes', 'causes', CLIMB_CAUSE_LOOKS, step.tone),
      ];
    case 'sweep': {
      const looks = step.hold === 'power' ? LOOKS_PER_TRIMMED_POINT : 1;
      return [
        looked('aim', 'aim', PROBE_LOOKS + NEARER_LOOKS, middleTone(step.tones)),
        ...step.tones.map((tone) =>
          looked(String(tone.nominal_Hz), 'tone', inBass(looks, tone, step.driven), tone),
        ),
      ];
    }
    case 'max-power': {
      const { each, first } = maxPowerLooks(step);
      const middle = middleTone(step.tones);
      return [
        looked('aim', 'aim', PROBE_LOOKS, middle),
        ...step.tones.map((tone) =>
          looked(String(tone.nominal_Hz), 'search', each + (tone === middle ? first : 0), tone),
        ),
        looked('causes', 'causes', CEILING_CAUSE_LOOKS, middle),
      ];
    }
  }
}

/**
 * What must be set up before a step, when anything must: the operator's work, where there is an operator, and the check of
 * the wiring.
 *
 * @param before the last step that needed loads
 */
export function setUpPart(step: PlanStep, before: WiredStep | null, asks: boolean): StepPart | null {
  if (!isWired(step) || operatorChange(step, before) === null) return null;
  const listened = 1 + (step.wired ?? step.driven).length;
  return {
    name: 'set-up',
    kind: 'fixed',
    seconds: (asks ? ASK_s : 0) + LISTEN_s * listened,
    nominal_Hz: null,
  };
}
