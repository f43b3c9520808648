import { riseOf } from '../../measure/trend.js';
import { decibelsOfPower } from '../../units/decibel.js';
import {
  byLevel,
  FAR_OVER_PERCENT,
  isCliff,
  isOpen,
  kneeBracket,
  type LevelReading,
  type LevelSample,
  lastBracket,
  levelWithin,
  RESOLUTION_dB,
  samplesAtLevel,
  sinking,
} from './crossing-bracket.js';
import { givesNoMore } from './gives-no-more.js';
import { MOST_PEAK_CAPTURES, nextPeakLevel } from './next-peak-level.js';
import { MOST_SHAPE_CAPTURES, nextShapeLevel } from './next-shape-level.js';

/** What a climb may do and what it looks for. Levels are in dBW as asked of the channel with most gain. */
export interface ClimbLimits {
  readonly from_dBW: number;
  readonly most_dBW: number;
  /** THD+N thresholds to mark, rising. */
  readonly marks_percent: readonly number[];
  /** The rise ends once every channel is above this. */
  readonly stop_percent: number;
}

/** Why a climb went no higher. */
export type ClimbEnd = 'stop-rule' | 'level-limit' | 'far-over' | 'output-stopped-following';

export type ClimbMove =
  | { readonly kind: 'play'; readonly asked_dBW: number }
  | { readonly kind: 'done'; readonly end: ClimbEnd };

const RISEN_FACTOR = 1.3;
/** A third of full clipping: no hum or crossover is that bad and still climbs. */
const PAST_DOUBT_PERCENT = 30;
const COARSE_STEP_dB = 3;
/** Close to the highest level allowed a coarse step could meet the clipping point: go gently there. */
const NEAR_TOP_dB = 15;
const GENTLE_STEP_dB = 1.5;
const FINE_STEP_dB = 0.5;
const MOST_SAMPLES = 90;

/**
 * The next level of a climb, from all that has been measured so far. A climb has two parts: a rise, in
 * coarse steps while nothing happens and finer ones as THD+N moves, until every channel is over the stop
 * threshold or no longer follows the drive; then looks at what THD+N does between two levels where it jumps; then a refinement of each crossing and of the knee of each channel, and a
 * second look at the lower end of a crossing that stays a cliff.
 *
 * @param samples in the order in which they were taken
 */
export function nextClimbMove(samples: readonly LevelSample[], limits: ClimbLimits): ClimbMove {
  if (samples.length === 0) return { kind: 'play', asked_dBW: Math.min(limits.from_dBW, limits.most_dBW) };
  const sorted = byLevel(samples);
  const end = endOfRise(sorted, limits);
  if (end === null) return { kind: 'play', asked_dBW: riseTo(sorted, limits) };
  const later = samples.length - riseOf(samples, (sample) => sample.asked_dBW).length;
  const shape_dBW = later < MOST_SHAPE_CAPTURES ? nextShapeLevel(samples) : null;
  const peak_dBW =
    later < MOST_SHAPE_CAPTURES + MOST_PEAK_CAPTURES ? nextPeakLevel(sorted, limits.stop_percent) : null;
  const asked_dBW =
    samples.length < MOST_SAMPLES ? (shape_dBW ?? refineAt(samples, sorted, limits) ?? peak_dBW) : null;
  return asked_dBW === null ? { kind: 'done', end } : { kind: 'play', asked_dBW };
}

function endOfRise(sorted: readonly LevelSample[], limits: ClimbLimits): ClimbEnd | null {
  const [top, before] = [sorted.at(-1)!, sorted.at(-2)];
  const over = (threshold: number) => (reading: LevelReading, i: number) =>
    reading.thdn_percent > threshold && !sinking(reading, before?.readings[i]) && hasRisen(sorted, i);
  if (top.readings.every(over(limits.stop_percent))) return 'stop-rule';
  if (top.readings.some(over(Math.max(FAR_OVER_PERCENT, 3 * limits.stop_percent)))) return 'far-over';
  const through = (reading: LevelReading, i: number) =>
    over(limits.stop_percent)(reading, i) || givesNoMore(sorted, i, limits.stop_percent);
  if (top.readings.every(through)) return 'output-stopped-following';
  return top.asked_dBW >= limits.most_dBW - RESOLUTION_dB ? 'level-limit' : null;
}

/**
 * True once THD+N of a channel has left the lowest value it had on the way up, or is past all doubt. A unit
 * that reads much the same from the first level on, by hum or a crossover fault, is not clipping yet.
 */
function hasRisen(sorted: readonly LevelSample[], index: number): boolean {
  const values = sorted.map((sample) => sample.readings[index]!.thdn_percent);
  const now = values.at(-1)!;
  return now > RISEN_FACTOR * Math.min(...values) || now > PAST_DOUBT_PERCENT;
}

/** The next level of the rise: far enough to be quick, near enough not to leap over the next threshold. */
function riseTo(sorted: readonly LevelSample[], limits: ClimbLimits): number {
  const [top, before] = [sorted.at(-1)!, sorted.at(-2)];
  const coarse = limits.most_dBW - top.asked_dBW > NEAR_TOP_dB ? COARSE_STEP_dB : GENTLE_STEP_dB;
  const steps = before
    ? top.readings.map((reading, i) => stepTowards(reading, before.readings[i]!, limits))
    : [];
  const step_dB = Math.max(FINE_STEP_dB, Math.min(coarse, ...steps));
  return Math.min(top.asked_dBW + step_dB, limits.most_dBW);
}

/** Decibels to the next threshold if THD+N keeps rising as it did over the last step, less a third for caution. */
function stepTowards(now: LevelReading, before: LevelReading, limits: ClimbLimits): number {
  const power_dB = decibelsOfPower(now.power_W / before.power_W);
  const slope = Math.log10(now.thdn_percent / before.thdn_percent) / power_dB;
  const next = limits.marks_percent.find((mark) => mark > now.thdn_percent) ?? limits.stop_percent * 1.1;
  if (!(slope > 0) || next <= now.thdn_percent) return Number.POSITIVE_INFINITY;
  return (2 / 3) * (Math.log10(next / now.thdn_percent) / slope);
}

/**
 * The level that narrows the widest bracket that still needs it; then the lower end of a cliff, once more; null when all
 * crossings and knees are known closely.
 */
function refineAt(
  samples: readonly LevelSample[],
  sorted: readonly LevelSample[],
  limits: ClimbLimits,
): number | null {
  const channels = sorted[0]!.readings.map((reading) => reading.channel);
  const brackets = channels
    .flatMap((_, i) => limits.marks_percent.map((mark) => lastBracket(sorted, i, mark)))
    .filter((bracket) => bracket !== null);
  const knees = channels.map((_, i) => kneeBracket(samples, i)).filter((bracket) => bracket !== null);
  const open = [...brackets, ...knees].filter(isOpen).sort((a, b) => b.width_dB - a.width_dB);
  if (open[0]) return levelWithin(open[0]);
  const cliff = brackets.find(
    (bracket) => isCliff(bracket) && samplesAtLevel(sorted, bracket.low.asked_dBW).length === 1,
  );
  return cliff?.low.asked_dBW ?? null;
}
