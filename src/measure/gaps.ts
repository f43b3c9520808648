import type { Gap } from './analysis.js';
import { cyclesAt } from './cycles.js';
import { edgeBreaks } from './edge-breaks.js';
import { sumOf } from './level.js';
import { kinkAtFrame, type LockIn, lockIn } from './lock-in.js';
import { median, quartileDistance } from './median.js';
import { type PhaseStep, phaseSteps } from './phase-steps.js';

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

/** A kink must exceed the usual largest kink of a hop by this much. In Gaussian noise that is beyond 8 sigma. */
const ABOVE_USUAL = 2.5;
/** Kinks below this part of the tone's amplitude are the grid of a 24-bit converter, or rounding. */
const LEAST_KINK = 5e-7;
/** Kinks in more hops than this, or than a tenth of all, are in the signal's nature: clipping, rectifier spikes. */
const MOST_HOPS = 8;
const LEAST_MOST_HOPS = 2;
/** With fewer hops it cannot be told what is usual. */
const FEWEST_HOPS = 24;
/** A kink that returns this often near the same phase of the tone belongs to the waveform. */
const RETURNS = 4;
/** It returns at this part of its size, clear of the usual ... */
const RETURN_SIZE = 0.4;
const RETURN_ABOVE_USUAL = 1.5;
/** ... and within this part of a cycle: ripple on the rails shifts the corners of clipping about. */
const RETURN_CYCLES = 1 / 12;

/**
 * Frames at which the waveform breaks off: isolated kinks that neither noise nor the waveform itself
 * accounts for. Finds stretches that were cut, repeated or overwritten, to the frame, unless they happen to
 * join smoothly.
 */
function splices(samples: Float64Array, track: LockIn): number[] {
  const { kink, kinkAt, re, im } = track;
  const amplitude = 2 * median(re.map((x, hop) => Math.hypot(x, im[hop]!)));
  if (kink.length < FEWEST_HOPS) return [];
  const usual = median(kink);
  const limit = Math.max(ABOVE_USUAL * usual, LEAST_KINK * amplitude);
  const suspects = Array.from(kinkAt.filter((_, hop) => kink[hop]! > limit));
  const most = Math.min(MOST_HOPS, Math.max(LEAST_MOST_HOPS, kink.length / 10));
  if (suspects.length > most) return [];
  return suspects
    .filter((frame) => !returns(samples, track, frame, RETURN_ABOVE_USUAL * usual))
    .map((frame) => onset(samples, track, frame, limit));
}

/** Whether kinks like the one at `frame` show up near the same phase of the tone in other cycles. */
function returns(samples: Float64Array, track: LockIn, frame: number, least: number): boolean {
  const { cyclesPerSample } = track;
  const enough = Math.max(least, RETURN_SIZE * kinkAtFrame(samples, track, frame));
  const reach = Math.ceil(RETURN_CYCLES / cyclesPerSample);
  const first = -Math.floor((frame - reach - 2) * cyclesPerSample);
  const last = Math.floor((samples.length - 1 - reach - frame) * cyclesPerSample);
  let count = 0;
  for (let cycle = first; cycle <= last && count < RETURNS; cycle++) {
    if (cycle === 0) continue;
    const centre = frame + Math.round(cycle / cyclesPerSample);
    for (let n = centre - reach; n <= centre + reach; n++) {
      if (kinkAtFrame(samples, track, n) > enough) {
        count++;
        break;
      }
    }
  }
  return count >= RETURNS;
}

/** Where the trouble around a kink begins: the first frame, up to a hop back, with a kink beyond the limit. */
function onset(samples: Float64Array, track: LockIn, frame: number, limit: number): number {
  for (let n = Math.max(2, Math.ceil(frame - track.hop)); n < frame; n++) {
    if (kinkAtFrame(samples, track, n) > limit) return n;
  }
  return frame;
}
