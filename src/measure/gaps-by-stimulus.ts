import type { Gap } from './analysis.js';
import { cholesky, solveCholesky } from './cholesky.js';
import { cyclesAt } from './cycles.js';
import { median, quartileDistance } from './median.js';

/** Places of a record between which the lines play at full level. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** A stretch is followed in pieces of about so many frames ... */
const PIECE_frames = 480;
/** ... but of so many cycles of the slowest line or beat, where it has room for them. */
const PIECE_CYCLES = 2;
/** Smallest slip that counts: lost samples are whole ones, and a unit's own changes of phase stay below it. */
const LEAST_SLIP_frames = 0.25;
/** Multiples of the upper quartile of scatter that a slip, or a loss of level, must exceed. */
const BEYOND_CHANCE = 6.5;
/** A piece that has lost this part of the usual level has lost samples. */
const DROPOUT = 0.25;
/** Trial slips lie so many to a cycle of the fastest line. */
const TRIALS_A_CYCLE = 16;

/** Amplitude and phase of each line over one piece. */
interface Heard extends Stretch {
  readonly re: readonly number[];
  readonly im: readonly number[];
}

/**
 * Breaks in the time line of a capture of which the stimulus is known: several lines, or bursts, which have no phase that
 * goes on from sample to sample as that of one steady sine has (`findGaps`).
 *
 * The stimulus is fitted piece by piece where it stands: cosine and sine of every line, counted from the start of the record,
 * and a constant, by least squares. Between two pieces that lie one apart, all lines must turn by the angle of one and the
 * same slip; the slip that explains their turns best, each weighed by its power, is looked for up to half a period of the
 * slowest line or beat.
 * Harmonics, noise, changes of level and what a unit does to single lines turn none of them together.
 *
 * @param lines frequency of each line over the rate, exact
 * @param stretches in order of time; edges and gaps between bursts left out
 * @returns breaks in order of time, each at the start of the piece that it lies in or follows
 */
export function gapsByStimulus(
  samples: Float64Array,
  lines: readonly number[],
  stretches: readonly Stretch[],
): Gap[] {
  const pieces = stretches.flatMap((stretch) => piecesOf(stretch, lines));
  const heard = pieces.map((piece) => fitted(samples, lines, piece));
  const slips = Float64Array.from(heard.slice(2), (after, i) => slipBetween(heard[i]!, after, lines));
  const usual = median(slips);
  const least = Math.max(LEAST_SLIP_frames, BEYOND_CHANCE * quartileDistance(slips, usual));
  const found: Gap[] = [];
  for (let i = 0; i < slips.length; i += 1) {
    const size = (at: number) => Math.abs((slips[at] ?? usual) - usual);
    // One break shows in two slips running: the larger one has all of it.
    if (size(i) < least || size(i) < size(i - 1) || size(i) <= size(i + 1)) continue;
    found.push({ frame: heard[i + 1]!.from, slip_frames: slips[i]! });
  }
  for (const { from } of dropouts(heard))
    if (found.every(({ frame }) => Math.abs(frame - from) > 2 * PIECE_frames))
      found.push({ frame: from, slip_frames: null });
  return found.sort((a, b) => a.frame - b.frame);
}

/** Cycles a frame of the slowest line or beat of two. */
function slowestOf(lines: readonly number[]): number {
  const beats = lines.flatMap((one, i) => lines.slice(i + 1).map((other) => Math.abs(one - other)));
  return Math.min(...lines, ...beats);
}

function piecesOf({ from, to }: Stretch, lines: readonly number[]): Stretch[] {
  const frames = Math.max(PIECE_frames, PIECE_CYCLES / slowestOf(lines));
  const count = Math.max(1, Math.floor((to - from) / frames));
  const edge = (i: number) => from + Math.round((i * (to - from)) / count);
  return Array.from({ length: count }, (_, i) => ({ from: edge(i), to: edge(i + 1) }));
}

/** Least squares of the lines and a constant over one piece. */
function fitted(samples: Float64Array, lines: readonly number[], { from, to }: Stretch): Heard {
  const size = 2 * lines.length + 1;
  const matrix = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  const right = new Array<number>(size).fill(0);
  const row = new Float64Array(size).fill(1);
  for (let n = from; n < to; n += 1) {
    lines.forEach((line, i) => {
      const angle = 2 * Math.PI * cyclesAt(line, n);
      row[2 * i] = Math.cos(angle);
      row[2 * i + 1] = Math.sin(angle);
    });
    for (let i = 0; i < size; i += 1) {
      right[i]! += row[i]! * samples[n]!;
      for (let k = 0; k <= i; k += 1) matrix[i]![k]! += row[i]! * row[k]!;
    }
  }
  const weights = solveCholesky(cholesky(matrix), right);
  return {
    from,
    to,
    re: lines.map((_, i) => weights[2 * i]!),
    im: lines.map((_, i) => -weights[2 * i + 1]!),
  };
}

/** The slip by which all lines turn from one piece to the other: the maximum of the sum of w cos(turn - 2 pi f s). */
function slipBetween(before: Heard, after: Heard, lines: readonly number[]): number {
  const parts = lines.map((line, i) => ({
    line,
    re: before.re[i]! * after.re[i]! + before.im[i]! * after.im[i]!,
    im: before.re[i]! * after.im[i]! - before.im[i]! * after.re[i]!,
  }));
  const match = (slip: number) =>
    parts.reduce((sum, { line, re, im }) => {
      const angle = 2 * Math.PI * line * slip;
      return sum + re * Math.cos(angle) + im * Math.sin(angle);
    }, 0);
  const step = 1 / (TRIALS_A_CYCLE * Math.max(...lines));
  const most = Math.floor(1 / (2 * slowestOf(lines)) / step);
  let best = 0;
  for (let trial = -most; trial <= most; trial += 1)
    if (match(trial * step) > match(best * step)) best = trial;
  // A parabola through the best trial and its neighbours.
  const [left, middle, right] = [match((best - 1) * step), match(best * step), match((best + 1) * step)];
  const bend = left - 2 * middle + right;
  return step * (best + (bend < 0 ? (left - right) / (2 * bend) : 0));
}

/** Pieces with much of the lines missing. */
function dropouts(heard: readonly Heard[]): Heard[] {
  const levels = Float64Array.from(heard, ({ re, im }) => Math.hypot(...re, ...im));
  const usual = median(levels);
  const least = usual - Math.max(DROPOUT * usual, BEYOND_CHANCE * quartileDistance(levels, usual));
  return heard.filter((_, i) => levels[i]! < least);
}
