import { powerRatio } from '../../units/decibel.js';

/** A climb rises in steps of 3 dB, and of 1.5 dB within 15 dB of the highest level allowed. */
const COARSE_STEP_dB = 3;
const GENTLE_STEP_dB = 1.5;
const NEAR_TOP_dB = 15;
/** Most units give way about so far below what load or interface would take. */
const USUAL_END_dB = 4;
/** Captures that narrow each mark down, and more for every further channel. */
const MARK_CAPTURES = 3;
const MARK_CAPTURES_PER_CHANNEL = 0.6;

/** What the number of captures depends on. */
interface ClimbExtent {
  readonly from_W: number;
  readonly most_W: number;
  readonly marks_percent: readonly number[];
  readonly measured: readonly number[];
}

const dB = (ratio: number) => 10 * Math.log10(ratio);

/** Captures that a climb still needs to rise from one power to another. */
export function riseCaptures(from_W: number, to_W: number, most_W: number): number {
  const gentleFrom_W = most_W / powerRatio(NEAR_TOP_dB);
  const coarse_dB = from_W < gentleFrom_W ? dB(Math.min(to_W, gentleFrom_W) / from_W) : 0;
  const gentle_dB = to_W > gentleFrom_W ? dB(to_W / Math.max(from_W, gentleFrom_W)) : 0;
  return Math.max(0, coarse_dB) / COARSE_STEP_dB + Math.max(0, gentle_dB) / GENTLE_STEP_dB;
}

/** Where a climb is expected to end while nothing is known of the unit. */
export function usualEnd_W({ from_W, most_W }: Pick<ClimbExtent, 'from_W' | 'most_W'>): number {
  return Math.max(from_W, most_W / powerRatio(USUAL_END_dB));
}

/** Captures that a climb needs once it has risen, to narrow its marks down. */
export function markCaptures({
  marks_percent,
  measured,
}: Pick<ClimbExtent, 'marks_percent' | 'measured'>): number {
  return marks_percent.length * (MARK_CAPTURES + MARK_CAPTURES_PER_CHANNEL * (measured.length - 1));
}

/** Captures that are kept as points, for a climb as a whole. */
export function climbCaptures(step: ClimbExtent): number {
  return 1 + riseCaptures(step.from_W, usualEnd_W(step), step.most_W) + markCaptures(step);
}
