import { dBW } from '../../units/decibel.js';
import {
  type Bracket,
  FAR_OVER_PERCENT,
  isOpen,
  type LevelReading,
  type LevelSample,
  lastBracket,
  levelWithin,
  RESOLUTION_dB,
  ratioOf,
  SMOOTH_RATIO,
  sinking,
} from './crossing-bracket.js';
import { crossingLevel, type Expected, overBy_dB } from './expected-crossing.js';
import { givesNoMore } from './gives-no-more.js';

/** What the search at one frequency may do, and what its neighbour lets it expect. Levels as in `LevelSample`. */
export interface MaxPowerLimits {
  readonly from_dBW: number;
  readonly most_dBW: number;
  readonly threshold_percent: number;
  /** Null: nothing is known, search from below as a climb does. */
  readonly near: {
    /** Where to look first. */
    readonly first_dBW: number;
    /** One entry a channel. */
    readonly expected: readonly Expected[];
  } | null;
}

/** A capture this far below the expected crossing, and the next this far above it, close the bracket around it. */
const BELOW_dB = 0.015;
/** So wide that a hard clipper, too, reads less than four times as much at its upper end as at its lower. */
const BRACKET_SPAN_dB = 0.036;
/** A capture that lies no further than this below, or above, the expected crossing is one end of such a bracket. */
const NEAR_BELOW_dB = 0.018;
const NEAR_ABOVE_dB = 0.026;
/** A capture further below than that still is one end when the next, so far above the expected crossing, makes the other. */
const PAST_dB = 0.014;
/** With a margin to what a bracket may span. */
const WIDEST_dB = 0.046;
/** Ends of a bracket are not approached more closely. */
const LEAST_STEP_dB = 0.005;
/** Levels closer than this do not show whether THD+N falls. */
const APART_dB = 0.5;
/** Steps away from an expectation that has failed: each so many times as wide as the last, between these. */
const WIDEN = 2.5;
const FIRST_WIDER_dB = 0.1;
const BLIND_STEP_dB = 1;
/** With one channel over the threshold, the others are approached no faster. */
const GENTLE_STEP_dB = 1.5;
const COARSE_STEP_dB = 3;
/** A capture this near to where the neighbour came nearest to the threshold tells that there is no hope here either. */
const AS_GOOD_AS_dB = 1;
/** After so many captures, and so many more for each channel, expectations are no longer listened to. */
export const PATIENCE = 10;
const PATIENCE_PER_CHANNEL = 3;
/** As a climb by itself does, a search goes on above a crossing until THD+N is past this: a hump may come back below. */
const STOP_PERCENT = 1;
/** Where a neighbouring frequency, known up to the stop, lets the crossing be expected this closely, that is not repeated. */
const AS_EXPECTED_dB = 1;
/** The first capture above a crossing; each next one so many times as wide. */
const VERIFY_dB = 0.5;

/** THD+N up to which a search goes on above a crossing. */
export const stopFor = (threshold_percent: number): number => Math.max(STOP_PERCENT, threshold_percent);

/** What one channel wants to be played next. */
export class ChannelSearch {
  private readonly threshold_percent: number;
  private readonly expected: Expected;

  constructor(
    private readonly sorted: readonly LevelSample[],
    private readonly index: number,
    private readonly limits: MaxPowerLimits,
  ) {
    this.threshold_percent = limits.threshold_percent;
    this.expected = this.isPatient() ? (limits.near?.expected[index] ?? null) : null;
  }

  wanted(): number | null {
    const { sorted, index } = this;
    const top = sorted.at(-1)!.readings[index]!;
    if (top.thdn_percent < this.threshold_percent) return this.above();
    const bracket = lastBracket(sorted, index, this.threshold_percent);
    if (bracket && isOpen(bracket)) return this.inside(bracket);
    if (bracket) return this.isLast(top, bracket) ? null : this.verified();
    return this.isSinking() ? this.above() : (this.below() ?? this.beyond(top));
  }

  /** Above all levels, where the limit was kept at none of them: it may be kept further up, beyond crossover distortion. */
  private beyond(top: LevelReading): number | null {
    const hopeless = this.expected !== null && 'nearest_dBW' in this.expected;
    return hopeless || top.thdn_percent >= stopFor(this.threshold_percent) ? null : this.above();
  }

  /** Whether a crossing is known to be the last one up to the stop. */
  private isLast(top: LevelReading, { high }: Bracket): boolean {
    const { index, limits } = this;
    if (top.thdn_percent >= stopFor(this.threshold_percent)) return true;
    const known = limits.near?.expected[index] ?? null;
    if (!known || 'nearest_dBW' in known || known.curve.length === 0) return false;
    return high.asked_dBW > this.askedFor(known.linear_dBW) - AS_EXPECTED_dB;
  }

  /** The next level above a crossing that may be the lower edge of a hump. */
  private verified(): number | null {
    const at_dBW = crossingLevel(this.sorted, this.index, this.threshold_percent)!;
    const over_dB = this.sorted.at(-1)!.asked_dBW - at_dBW;
    return this.rising(Math.max(VERIFY_dB, WIDEN * over_dB) - over_dB);
  }

  /** Whether THD+N falls towards the top, so that what is above the threshold there is noise. */
  private isSinking(): boolean {
    const { sorted, index } = this;
    const top = sorted.at(-1)!;
    const apart = sorted.findLast(({ asked_dBW }) => top.asked_dBW - asked_dBW >= APART_dB) ?? sorted[0]!;
    return apart !== top && sinking(top.readings[index]!, apart.readings[index]);
  }

  private isPatient(): boolean {
    const channels = this.sorted[0]!.readings.length;
    return this.sorted.length <= PATIENCE + PATIENCE_PER_CHANNEL * channels;
  }

  /** Level at which the crossing is to be expected; null when nothing is known. */
  private estimate(): number | null {
    const { expected, index, sorted } = this;
    if (!expected || 'nearest_dBW' in expected) return null;
    const told = sorted
      .map(({ asked_dBW, readings }) => {
        const ratio = readings[index]!.thdn_percent / this.threshold_percent;
        const over_dB = overBy_dB(expected.curve, ratio);
        return over_dB === null ? null : { at_dBW: asked_dBW - over_dB, far: Math.abs(Math.log(ratio)) };
      })
      .filter((one) => one !== null)
      .sort((a, b) => a.far - b.far);
    return told[0]?.at_dBW ?? this.askedFor(expected.linear_dBW + expected.drift_dB);
  }

  /** Level to be asked for a power, by the gain of the lowest level. */
  private askedFor(power_dBW: number): number {
    const lowest = this.sorted[0]!;
    return power_dBW - dBW(lowest.readings[this.index]!.power_W) + lowest.asked_dBW;
  }

  private above(): number | null {
    return this.rising(this.stepUp());
  }

  /** So far above the top, or less; null where nothing higher may be played. */
  private rising(step_dB: number): number | null {
    const { sorted, limits } = this;
    const top = sorted.at(-1)!;
    const over = (percent: number) =>
      top.readings.some(
        (reading, i) => reading.thdn_percent > percent && !sinking(reading, sorted.at(-2)?.readings[i]),
      );
    if (top.asked_dBW >= limits.most_dBW - RESOLUTION_dB) return null;
    if (over(Math.max(FAR_OVER_PERCENT, 3 * this.threshold_percent))) return null;
    if (top.readings.some((_, i) => givesNoMore(sorted, i, this.threshold_percent))) return null;
    const most_dB = over(this.threshold_percent) ? GENTLE_STEP_dB : COARSE_STEP_dB;
    return Math.min(top.asked_dBW + Math.min(step_dB, most_dB), limits.most_dBW);
  }

  private stepUp(): number {
    const [top, before] = [this.sorted.at(-1)!, this.sorted.at(-2)];
    const at_dBW = this.estimate();
    const ahead_dB = at_dBW === null ? -1 : at_dBW - top.asked_dBW;
    if (ahead_dB > NEAR_BELOW_dB) return this.reaches(ahead_dB) ? ahead_dB + PAST_dB : ahead_dB - BELOW_dB;
    if (ahead_dB >= 0) return BRACKET_SPAN_dB;
    if (!before) return at_dBW === null ? BLIND_STEP_dB : BRACKET_SPAN_dB;
    const wider_dB = WIDEN * (top.asked_dBW - before.asked_dBW);
    return Math.min(Math.max(wider_dB, FIRST_WIDER_dB), GENTLE_STEP_dB);
  }

  /** Whether the top capture is near enough to be itself the lower end of a bracket, with THD+N rising as it does from there. */
  private reaches(ahead_dB: number): boolean {
    const ratio = this.sorted.at(-1)!.readings[this.index]!.thdn_percent / this.threshold_percent;
    const rise = ratio ** -((ahead_dB + PAST_dB) / ahead_dB);
    return ahead_dB + PAST_dB <= WIDEST_dB && rise < SMOOTH_RATIO;
  }

  private below(): number | null {
    const { sorted, limits } = this;
    const [lowest, next] = [sorted[0]!, sorted[1]];
    if (lowest.asked_dBW <= limits.from_dBW + RESOLUTION_dB) return null;
    if (this.expected && 'nearest_dBW' in this.expected)
      return this.whereNeighbourCameNearest(this.expected.nearest_dBW);
    const at_dBW = this.estimate();
    const over_dB = at_dBW === null ? 0 : lowest.asked_dBW - at_dBW;
    const wider_dB = next ? WIDEN * (next.asked_dBW - lowest.asked_dBW) : BLIND_STEP_dB;
    // An expectation that has failed before is believed less each time.
    const step_dB = over_dB > 0 ? over_dB * sorted.length + BELOW_dB : Math.max(wider_dB, FIRST_WIDER_dB);
    return Math.max(lowest.asked_dBW - Math.min(step_dB, COARSE_STEP_dB), limits.from_dBW);
  }

  /** Where the neighbour came nearest; null when a capture was taken there. */
  private whereNeighbourCameNearest(nearest_dBW: number): number | null {
    const at_dBW = this.askedFor(nearest_dBW);
    const seen = this.sorted.some(({ asked_dBW }) => Math.abs(asked_dBW - at_dBW) < AS_GOOD_AS_dB);
    return seen || at_dBW > this.sorted[0]!.asked_dBW ? null : Math.max(at_dBW, this.limits.from_dBW);
  }

  private inside(bracket: Bracket): number {
    const { low, high } = bracket;
    const at_dBW = this.estimate();
    const within = at_dBW !== null && at_dBW > low.asked_dBW && at_dBW < high.asked_dBW;
    if (within && ratioOf(bracket) > SMOOTH_RATIO) {
      const aimed_dBW = beside(at_dBW, low.asked_dBW, high.asked_dBW);
      const room_dB = Math.min(aimed_dBW - low.asked_dBW, high.asked_dBW - aimed_dBW);
      if (room_dB >= LEAST_STEP_dB) return aimed_dBW;
    }
    return levelWithin(bracket);
  }
}

/** A level beside an expected crossing, on the side on which no capture is near enough yet. */
function beside(at_dBW: number, low_dBW: number, high_dBW: number): number {
  if (at_dBW - low_dBW <= NEAR_BELOW_dB) return low_dBW + BRACKET_SPAN_dB;
  if (high_dBW - at_dBW <= NEAR_ABOVE_dB) return high_dBW - BRACKET_SPAN_dB;
  return at_dBW - BELOW_dB;
}
