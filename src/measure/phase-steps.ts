import type { LockIn } from './lock-in.js';
import { median, quantile, quartileDistance } from './median.js';

/** A lasting step of the tone's phase. */
export interface PhaseStep {
  /** The first knot (see `lockIn`) after the step: it lies in or next to the hop of this number. */
  readonly knot: number;
  /** Phase after less phase before. */
  readonly radians: number;
}

/** Knots averaged on either side: short for steps near an end, long for small steps in noise. */
const SPANS = [1, 4, 16, 32];
/** With fewer knots the spread of the phase cannot be judged. */
const FEWEST_KNOTS = 12;
/** Multiples of the upper quartile of scatter (1.15 sigma of Gaussian noise) that a step must exceed ... */
const BEYOND_CHANCE = 6.5;
/** ... more so in short records, where the quartile itself is a rough estimate. */
const FEW_KNOTS_PENALTY = 12;
/** Smallest step that counts. At 1 kHz and 48 kHz it is 1/160 of a sample ... */
const LEAST_STEP_RAD = 8e-4;
/** ... but ripple that beats with a bass tone moves its phase by more: so it grows with the period up to this. */
const LEAST_BASS_STEP_RAD = 0.03;
/** More steps than this of like size ... */
const MOST_ALIKE = 5;
/** ... (a step must be so many times the next largest) ... */
const ABOVE_ALIKE = 2;
/** ... are phase modulation, unless they are beyond this: then the capture is in shreds. */
const MOST_MODULATION_RAD = 0.05;
/** Phase noise per knot above this would make whole turns ambiguous. */
const MOST_NOISE_RAD = 0.15;
/** A triangle reaches this many knots past a step on either side of it. */
const BLUR_KNOTS = 2;
/** Knots on either side used to tell a step from a drift. */
const CONFIRM_KNOTS = 8;
/** With fewer knots on a side its own slope says nothing. */
const FEWEST_SLOPE_KNOTS = 3;

/**
 * Lasting phase steps of a tone against the sample count.
 *
 * Means of the phase over spans before and after each place are compared; what counts is by how
 * much a difference leaves the usual scatter of such differences in the same record. So ripple, clipping and
 * noise raise the bar for themselves, a frequency offset drops out with the median, and a drift is
 * refused because a common slope explains it. Level changes do not enter.
 */
export function phaseSteps(track: LockIn): PhaseStep[] {
  const phase = unwrap(track);
  const knots = phase.length;
  if (knots < FEWEST_KNOTS) return [];
  const sums = cumulative(phase);
  const single = differences(sums, knots, 1);
  const scatter = quartileDistance(single, median(single));
  if (scatter > MOST_NOISE_RAD) return [];
  const steps: PhaseStep[] = [];
  const seen: number[] = [];
  for (const span of SPANS) {
    const jumps = differences(sums, knots, span);
    if (jumps.length < FEWEST_KNOTS) continue;
    const usual = median(jumps);
    const spread = Math.max(quartileDistance(jumps, usual), scatter / Math.sqrt(span));
    const chance = BEYOND_CHANCE * (1 + FEW_KNOTS_PENALTY / knots) * spread;
    const least = Math.max(leastStep(track.cyclesPerSample), chance);
    // In most records nothing goes so far, and it need not be asked whether it goes as far again and again.
    if (jumps.every((jump) => Math.abs(jump - usual) <= least)) continue;
    const limit = Math.max(least, modulation(jumps, usual, span));
    const found: number[] = [];
    for (const i of peaks(jumps, usual, limit)) {
      const knot = i + span;
      // A longer span sees the same step, or the same passing upset, from further away.
      if (seen.some((other) => Math.abs(other - knot) <= span + BLUR_KNOTS)) continue;
      found.push(knot);
      const radians = stepAgainstSlope(sums, knots, knot);
      if (Math.abs(radians) > Math.abs(jumps[i]! - usual) / 2) steps.push({ knot, radians });
    }
    seen.push(...found);
  }
  return steps;
}

/** What jumps of like size, if there are many, forbid to call a gap. One step shows in 2 span + 1 jumps. */
function modulation(jumps: Float64Array, usual: number, span: number): number {
  const sizes = jumps.map((jump) => Math.abs(jump - usual));
  const share = 1 - (MOST_ALIKE * (2 * span + 1)) / sizes.length;
  return share > 0 ? Math.min(MOST_MODULATION_RAD, ABOVE_ALIKE * quantile(sizes, share)) : 0;
}

function leastStep(cyclesPerSample: number): number {
  const bass = 0.02 * (1 / (1500 * cyclesPerSample)) ** 1.5;
  return Math.max(LEAST_STEP_RAD, Math.min(LEAST_BASS_STEP_RAD, bass));
}

function unwrap({ re, im }: LockIn): Float64Array {
  const phase = new Float64Array(re.length);
  for (let knot = 0; knot < re.length; knot++) {
    const angle = Math.atan2(im[knot]!, re[knot]!);
    const turns = knot === 0 ? 0 : Math.round((phase[knot - 1]! - angle) / (2 * Math.PI));
    phase[knot] = angle + 2 * Math.PI * turns;
  }
  return phase;
}

/** sums[i] = total of the first i values. */
function cumulative(values: Float64Array): Float64Array {
  const sums = new Float64Array(values.length + 1);
  for (let i = 0; i < values.length; i++) sums[i + 1] = sums[i]! + values[i]!;
  return sums;
}

/** Mean over `span` knots less the mean over as many before them, from knot `span` on. */
function differences(sums: Float64Array, knots: number, span: number): Float64Array {
  const count = Math.max(0, knots - 2 * span + 1);
  const out = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    out[i] = (sums[i + 2 * span]! - 2 * sums[i + span]! + sums[i]!) / span;
  }
  return out;
}

/** Index of the largest excursion in each run of values beyond `limit` of `usual`. */
function peaks(values: Float64Array, usual: number, limit: number): number[] {
  const found: number[] = [];
  let best = -1;
  for (let i = 0; i <= values.length; i++) {
    const beyond = i < values.length ? Math.abs(values[i]! - usual) : 0;
    if (beyond > limit) {
      if (best < 0 || beyond > Math.abs(values[best]! - usual)) best = i;
    } else if (best >= 0) {
      found.push(best);
      best = -1;
    }
  }
  return found;
}

/**
 * Step ahead of a knot when both sides may share a slope: least squares for level, slope and step. The
 * knots that the step blurs are left out.
 */
function stepAgainstSlope(sums: Float64Array, knots: number, knot: number): number {
  const value = (i: number) => sums[i + 1]! - sums[i]!;
  const end = knot - BLUR_KNOTS;
  const start = knot + BLUR_KNOTS;
  const left = Math.min(CONFIRM_KNOTS, end);
  const right = Math.min(CONFIRM_KNOTS, knots - start);
  // Too near an end of the record for slopes: the outermost knots must do.
  if (left < 1 || right < 1) return value(Math.min(start, knots) - 1) - value(Math.max(end, 0));
  const before = slopeSums(value, end - left, left);
  const after = slopeSums(value, start, right);
  const distance = (left + right) / 2 + 2 * BLUR_KNOTS;
  const rise = (sums[start + right]! - sums[start]!) / right - (sums[end]! - sums[end - left]!) / left;
  const squares = before.squares + after.squares;
  const step = rise - (squares > 0 ? (before.product + after.product) / squares : 0) * distance;
  if (Math.min(left, right) < FEWEST_SLOPE_KNOTS || Math.min(left, right) === CONFIRM_KNOTS) return step;
  // Near an end the longer side outvotes the shorter one; a drift that dies out is as steep between them as on the steeper.
  const steeper = [before, after].map(({ product, squares }) => rise - (product / squares) * distance);
  return [step, ...steeper].reduce((least, one) => (Math.abs(one) < Math.abs(least) ? one : least));
}

/** What makes the least-squares slope of `count` values: product over squares. */
function slopeSums(
  value: (i: number) => number,
  from: number,
  count: number,
): { readonly product: number; readonly squares: number } {
  let [product, squares] = [0, 0];
  for (let i = 0; i < count; i++) {
    const t = i - (count - 1) / 2;
    product += t * value(from + i);
    squares += t * t;
  }
  return { product, squares };
}
