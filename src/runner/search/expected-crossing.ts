import { byLevel, type LevelSample, lastBracket } from './crossing-bracket.js';

/** THD+N over the threshold, at a level so many decibels above the crossing. */
export interface NearPoint {
  readonly over_dB: number;
  readonly ratio: number;
}

/** What one frequency lets the next expect of a channel. */
export interface ExpectedCrossing {
  /** Power that the crossing's drive would give by the small-signal gain: a clipping voltage stays, a gain may not. */
  readonly linear_dBW: number;
  /** By how much that has moved from the frequency before: what it may move by again. */
  readonly drift_dB: number;
  /** How THD+N rises around the crossing, by rising level; may be empty. */
  readonly curve: readonly NearPoint[];
}

/** A channel that never kept the threshold: the level, as above, at which it came nearest to doing so. */
export interface Hopeless {
  readonly nearest_dBW: number;
}

/** What a frequency lets the next expect of a channel; null: nothing. */
export type Expected = ExpectedCrossing | Hopeless | null;

/**
 * THD+N within this factor of its least, or below this share of the threshold, is the flat part, which tells nothing
 * of how far the crossing is.
 */
const FLAT_FACTOR = 2;
const LEAST_RATIO = 0.1;
/** Beyond its ends a curve is carried on no further than this. */
const FURTHEST_dB = 2;
/** A curve keeps no more points than this on either side. */
const MOST_POINTS = 12;

/**
 * How far above the crossing a level with such a THD+N lies by a curve, in dB; negative below it. Straight between
 * points in log THD+N, and carried on at its upper end. Null where the curve tells nothing.
 */
export function overBy_dB(curve: readonly NearPoint[], ratio: number): number | null {
  const after = curve.findIndex((point) => point.ratio >= ratio);
  if (after === 0 || curve.length < 2) return null;
  const [low, high] = after < 0 ? curve.slice(-2) : curve.slice(after - 1, after + 1);
  const slope = Math.log(high!.ratio / low!.ratio) / (high!.over_dB - low!.over_dB);
  return Math.min(low!.over_dB + Math.log(ratio / low!.ratio) / slope, FURTHEST_dB);
}

/**
 * The rise of THD+N around a crossing that was found, carried on beyond its ends by what was known before.
 *
 * @param index of the channel within the readings
 */
export function curveAround(
  samples: readonly LevelSample[],
  index: number,
  threshold_percent: number,
  known: readonly NearPoint[],
): NearPoint[] {
  const sorted = byLevel(samples);
  const at_dBW = crossingLevel(sorted, index, threshold_percent);
  if (at_dBW === null) return [...known];
  const ratios = sorted.map(({ readings }) => readings[index]!.thdn_percent / threshold_percent);
  const flat = Math.max(FLAT_FACTOR * Math.min(...ratios), LEAST_RATIO);
  const points = sorted.map(({ asked_dBW }, i) => ({ over_dB: asked_dBW - at_dBW, ratio: ratios[i]! }));
  const own = [
    ...steepBelow(points, flat),
    ...points.filter(({ over_dB, ratio }) => over_dB >= 0 && ratio >= 1),
  ];
  const [lowest, highest] = [own[0], own.at(-1)];
  if (!lowest || !highest) return [...known];
  const below = known.filter(({ over_dB, ratio }) => over_dB < lowest.over_dB && ratio < lowest.ratio);
  const above = known.filter(({ over_dB, ratio }) => over_dB > highest.over_dB && ratio > highest.ratio);
  return risingOnly([...below.slice(-MOST_POINTS), ...own, ...above.slice(0, MOST_POINTS)]);
}

/** The points under the crossing, down to where THD+N is flat or falls with level: below that noise governs it. */
function steepBelow(points: readonly NearPoint[], flat: number): NearPoint[] {
  const below = points.filter(({ over_dB }) => over_dB < 0);
  const end = below.findLastIndex(({ ratio }, i) => ratio <= flat || ratio >= (below[i + 1]?.ratio ?? 1));
  return below.slice(end + 1);
}

/** Points whose THD+N is higher than that of all before them. */
function risingOnly(points: readonly NearPoint[]): NearPoint[] {
  const kept: NearPoint[] = [];
  for (const point of points) {
    const last = kept.at(-1);
    if (!last || (point.ratio > last.ratio * 1.001 && point.over_dB > last.over_dB)) kept.push(point);
  }
  return kept;
}

/**
 * Asked level at which a channel last crosses the threshold on the way up, in dBW, straight in log THD+N; null when
 * it does not.
 *
 * @param index of the channel within the readings
 */
export function crossingLevel(
  samples: readonly LevelSample[],
  index: number,
  threshold_percent: number,
): number | null {
  const bracket = lastBracket(byLevel(samples), index, threshold_percent);
  if (!bracket) return null;
  const { low, high } = bracket;
  const [below, above] = [low.reading.thdn_percent, high.reading.thdn_percent].map((value) =>
    Math.log(Math.max(value, 1e-12)),
  );
  const share = (Math.log(threshold_percent) - below!) / (above! - below!);
  return low.asked_dBW + share * (high.asked_dBW - low.asked_dBW);
}
