import type { Gap } from './analysis.js';
import { cyclesAt } from './cycles.js';
import { edgeBreaks } from './edge-breaks.js';
import { sumOf } from './level.js';
import { type LockIn, lockIn } from './lock-in.js';
import { median, quartileDistance } from './median.js';
import { type PhaseStep, phaseSteps } from './phase-steps.js';
import { splices } from './splices.js';

/** A hop that has lost this part of the usual level has lost samples: no amplifier ripples so deeply ... */
const DROPOUT = 0.25;
/** ... unless noise does it. */
const BEYOND_CHANCE = 6.5;
/** Hops within which two signs of trouble are taken for the same one. */
const SAME_HOPS = 2;

/**
 * Breaks in the time line of a captured tone: lost, repeated or overwritten stretches.
 *
 * Three signs, by the tone's own continuity against the sample count: a lasting step of its phase, a
 * kink that does not belong to the waveform, and a hop with most of the tone missing. Where none shows, the two ends
 * are compared with the rest of the record. Level changes, ripple, clipping and noise are none of them. A slip by a whole number of periods leaves the phase as
 * it was and shows only by its kink.
 *
 * @param cyclesPerSample the tone's frequency over the rate, as found in this record
 * @param dc mean of the record, where it is known already
 * @returns breaks in order of time
 */
export function findGaps(
  samples: Float64Array,
  cyclesPerSample: number,
  dc = sumOf(samples) / samples.length,
): Gap[] {
  const track = lockIn(samples, cyclesPerSample, dc);
  if (track.re.length === 0) return [];
  const kinks = splices(samples, track);
  const near = SAME_HOPS * track.hop;
  const found: Gap[] = phaseSteps(track).map((step) => ({
    frame: breakFrame(samples, track, step, kinks, near),
    slip_frames: step.radians / (2 * Math.PI * cyclesPerSample),
  }));
  const others = [...kinks, ...dropouts(track)].sort((a, b) => a - b);
  for (const frame of others) {
    if (found.every((gap) => Math.abs(gap.frame - frame) > near)) found.push({ frame, slip_frames: null });
  }
  if (found.length === 0)
    return edgeBreaks(samples, cyclesPerSample).map((frame) => ({ frame, slip_frames: null }));
  return found.sort((a, b) => a.frame - b.frame);
}

/** Start of each stretch with much of the tone missing, to within a hop. */
function dropouts({ re, im, hop }: LockIn): number[] {
  const level = re.map((x, knot) => Math.hypot(x, im[knot]!));
  const usual = median(level);
  const least = usual - Math.max(DROPOUT * usual, BEYOND_CHANCE * quartileDistance(level, usual));
  const frames: number[] = [];
  level.forEach((value, knot) => {
    if (value < least && !(knot > 0 && level[knot - 1]! < least)) frames.push(Math.ceil((knot + 1) * hop));
  });
  return frames;
}

/** Where a phase step happened: at the kink if there is one nearby, else where it is most likely. */
function breakFrame(
  samples: Float64Array,
  track: LockIn,
  step: PhaseStep,
  kinks: readonly number[],
  near: number,
): number {
  const about = (step.knot + 0.5) * track.hop;
  const [closest = Number.POSITIVE_INFINITY] = kinks
    .filter((frame) => Math.abs(frame - about) <= near)
    .sort((a, b) => Math.abs(a - about) - Math.abs(b - about));
  return Number.isFinite(closest) ? closest : likeliestFrame(samples, track, step);
}

/**
 * The frame that splits the neighbourhood best into "tone as before" and "tone as after": the sum of
 * squared deviations from either is least there. Harmonics and noise weigh on both alike.
 */
function likeliestFrame(samples: Float64Array, track: LockIn, step: PhaseStep): number {
  const { cyclesPerSample, dc, hop } = track;
  const knots = track.re.length;
  const before = meanPhasor(track, Math.max(0, step.knot - 6), Math.max(1, step.knot - 2));
  const after = meanPhasor(track, Math.min(knots - 1, step.knot + 2), Math.min(knots, step.knot + 6));
  const from = Math.ceil(Math.max(0, step.knot - 1) * hop);
  const to = Math.min(samples.length, Math.ceil((step.knot + 2) * hop));
  let [sum, least, frame] = [0, 0, from];
  for (let n = from; n < to; n++) {
    const angle = 2 * Math.PI * cyclesAt(cyclesPerSample, n);
    const [re, im] = [2 * Math.cos(angle), 2 * Math.sin(angle)];
    const fromOld = samples[n]! - dc - (before.re * re - before.im * im);
    const fromNew = samples[n]! - dc - (after.re * re - after.im * im);
    sum += fromOld * fromOld - fromNew * fromNew;
    if (sum < least) [least, frame] = [sum, n + 1];
  }
  return frame;
}

function meanPhasor({ re, im }: LockIn, from: number, to: number): { re: number; im: number } {
  const count = to - from;
  let [sumRe, sumIm] = [0, 0];
  for (let knot = from; knot < to; knot++) {
    sumRe += re[knot]! / count;
    sumIm += im[knot]! / count;
  }
  return { re: sumRe, im: sumIm };
}
