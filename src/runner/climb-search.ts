/** What a climb may do and what it looks for. Levels are in dBW as asked of the channel with most gain. */
export interface ClimbLimits {
  readonly from_dBW: number;
  readonly most_dBW: number;
  /** THD+N thresholds to mark, rising. */
  readonly marks_percent: readonly number[];
  /** The rise ends once every channel is above this. */
  readonly stop_percent: number;
}

/** What one channel gave at one level of a climb. */
export interface ClimbReading {
  readonly channel: number;
  readonly power_W: number;
  readonly thdn_percent: number;
}

/** One level of a climb, already measured. */
export interface ClimbSample {
  readonly asked_dBW: number;
  readonly readings: readonly ClimbReading[];
}

/** Why a climb went no higher. */
export type ClimbEnd = 'stop-rule' | 'level-limit' | 'far-over';

export type ClimbMove =
  | { readonly kind: 'play'; readonly asked_dBW: number }
  | { readonly kind: 'done'; readonly end: ClimbEnd };

/** A crossing is refined until its bracket is at most this wide in measured power. */
export const BRACKET_dB = 0.05;
/** No unit is driven on once a channel is this far into clipping, whatever the others do. */
const FAR_OVER_PERCENT = 10;
const RISEN_FACTOR = 1.3;
/** A third of full clipping: no hum or crossover is that bad and still climbs. */
const PAST_DOUBT_PERCENT = 30;
const COARSE_STEP_dB = 3;
/** Close to the highest level allowed a coarse step could meet the clipping point: go gently there. */
const NEAR_TOP_dB = 15;
const GENTLE_STEP_dB = 1.5;
const FINE_STEP_dB = 0.5;
/** Below a bracket whose ends differ by more than this factor in THD+N, interpolation is not to be trusted. */
const SMOOTH_RATIO = 4;
/** Such a bracket is halved down to this width, where interpolation can no longer be far off. */
const STEEP_BRACKET_dB = 0.01;
/** Asked levels closer than this are the same level. */
const RESOLUTION_dB = 0.001;
const MOST_SAMPLES = 90;

/**
 * The next level of a climb, from all that has been measured so far. A climb has two parts: a rise, in
 * coarse steps while nothing happens and finer ones as THD+N moves, until every channel is over the stop
 * threshold; then a refinement of each crossing of each channel.
 */
export function nextClimbMove(samples: readonly ClimbSample[], limits: ClimbLimits): ClimbMove {
  if (samples.length === 0) return { kind: 'play', asked_dBW: Math.min(limits.from_dBW, limits.most_dBW) };
  const sorted = [...samples].sort((a, b) => a.asked_dBW - b.asked_dBW);
  const end = endOfRise(sorted, limits);
  if (end === null) return { kind: 'play', asked_dBW: riseTo(sorted, limits) };
  const asked_dBW = samples.length < MOST_SAMPLES ? refineAt(sorted, limits) : null;
  return asked_dBW === null ? { kind: 'done', end } : { kind: 'play', asked_dBW };
}

function endOfRise(sorted: readonly ClimbSample[], limits: ClimbLimits): ClimbEnd | null {
  const [top, before] = [sorted.at(-1)!, sorted.at(-2)];
  const over = (threshold: number) => (reading: ClimbReading, i: number) =>
    reading.thdn_percent > threshold && !sinking(reading, before?.readings[i]) && hasRisen(sorted, i);
  if (top.readings.every(over(limits.stop_percent))) return 'stop-rule';
  if (top.readings.some(over(Math.max(FAR_OVER_PERCENT, 3 * limits.stop_percent)))) return 'far-over';
  return top.asked_dBW >= limits.most_dBW - RESOLUTION_dB ? 'level-limit' : null;
}

/**
 * True once THD+N of a channel has left the lowest value it had on the way up, or is past all doubt. A unit
 * that reads much the same from the first level on, by hum or a crossover fault, is not clipping yet.
 */
function hasRisen(sorted: readonly ClimbSample[], index: number): boolean {
  const values = sorted.map((sample) => sample.readings[index]!.thdn_percent);
  const now = values.at(-1)!;
  return now > RISEN_FACTOR * Math.min(...values) || now > PAST_DOUBT_PERCENT;
}

/**
 * True while THD+N of a channel still sinks with level, or nothing but the first level is known: what is
 * above a threshold then is noise, not clipping, and the climb must go on through it.
 */
function sinking(now: ClimbReading, before: ClimbReading | undefined): boolean {
  return before === undefined || now.thdn_percent < 0.97 * before.thdn_percent;
}

/** The next level of the rise: far enough to be quick, near enough not to leap over the next threshold. */
function riseTo(sorted: readonly ClimbSample[], limits: ClimbLimits): number {
  const [top, before] = [sorted.at(-1)!, sorted.at(-2)];
  const coarse = limits.most_dBW - top.asked_dBW > NEAR_TOP_dB ? COARSE_STEP_dB : GENTLE_STEP_dB;
  const steps = before
    ? top.readings.map((reading, i) => stepTowards(reading, before.readings[i]!, limits))
    : [];
  const step_dB = Math.max(FINE_STEP_dB, Math.min(coarse, ...steps));
  return Math.min(top.asked_dBW + step_dB, limits.most_dBW);
}

/** Decibels to the next threshold if THD+N keeps rising as it did over the last step, less a third for caution. */
function stepTowards(now: ClimbReading, before: ClimbReading, limits: ClimbLimits): number {
  const power_dB = 10 * Math.log10(now.power_W / before.power_W);
  const slope = Math.log10(now.thdn_percent / before.thdn_percent) / power_dB;
  const next = limits.marks_percent.find((mark) => mark > now.thdn_percent) ?? limits.stop_percent * 1.1;
  if (!(slope > 0) || next <= now.thdn_percent) return Number.POSITIVE_INFINITY;
  return (2 / 3) * (Math.log10(next / now.thdn_percent) / slope);
}

interface Bracket {
  readonly low: { readonly asked_dBW: number; readonly reading: ClimbReading };
  readonly high: { readonly asked_dBW: number; readonly reading: ClimbReading };
  readonly mark_percent: number;
  readonly width_dB: number;
}

/** The level that narrows the widest bracket that still needs it; null when all crossings are pinned down. */
function refineAt(sorted: readonly ClimbSample[], limits: ClimbLimits): number | null {
  const channels = sorted[0]!.readings.map((reading) => reading.channel);
  const open = channels
    .flatMap((_, i) => limits.marks_percent.map((mark) => lastBracket(sorted, i, mark)))
    .filter((bracket) => bracket !== null)
    .filter((bracket) => bracket.width_dB > neededWidth(bracket))
    .filter((bracket) => bracket.high.asked_dBW - bracket.low.asked_dBW > 2 * RESOLUTION_dB)
    .sort((a, b) => b.width_dB - a.width_dB);
  return open[0] ? levelWithin(open[0]) : null;
}

function ratioOf(bracket: Bracket): number {
  return bracket.high.reading.thdn_percent / bracket.low.reading.thdn_percent;
}

function neededWidth(bracket: Bracket): number {
  return ratioOf(bracket) > SMOOTH_RATIO ? STEEP_BRACKET_dB : BRACKET_dB;
}

/** The last step up through a threshold, between neighbouring levels. A fall through it at low level is noise. */
function lastBracket(sorted: readonly ClimbSample[], index: number, mark_percent: number): Bracket | null {
  for (let i = sorted.length - 1; i > 0; i -= 1) {
    const [low, high] = [sorted[i - 1]!, sorted[i]!];
    const [below, above] = [low.readings[index]!, high.readings[index]!];
    if (below.thdn_percent < mark_percent && above.thdn_percent >= mark_percent) {
      return {
        low: { asked_dBW: low.asked_dBW, reading: below },
        high: { asked_dBW: high.asked_dBW, reading: above },
        mark_percent,
        width_dB: Math.abs(10 * Math.log10(above.power_W / below.power_W)),
      };
    }
  }
  return null;
}

/**
 * Where to look next inside a bracket: the middle while its ends tell of different regimes, else just
 * past the interpolated crossing on its wider side, so that the next look closes the bracket around it.
 */
function levelWithin(bracket: Bracket): number {
  const { low, high, mark_percent } = bracket;
  const span = high.asked_dBW - low.asked_dBW;
  if (ratioOf(bracket) > SMOOTH_RATIO) return low.asked_dBW + span / 2;
  const share =
    Math.log(mark_percent / low.reading.thdn_percent) /
    Math.log(high.reading.thdn_percent / low.reading.thdn_percent);
  const past = (0.4 * BRACKET_dB * span) / bracket.width_dB;
  const aimed = share * span + (share < 0.5 ? past : -past);
  return low.asked_dBW + Math.min(Math.max(aimed, 0.1 * span), 0.9 * span);
}
