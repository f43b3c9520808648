import { decibelsOfPower } from '../units/decibel.js';
import { type Crossing, type CurvePoint, lastCrossing } from './crossing.js';
import { aboveRounding, TREND_FACTOR, type Trend, trendOf } from './trend.js';

/** A point of a climb, with what of its distortion is noise. */
export interface KneePoint extends CurvePoint {
  /** Noise relative to the total, percent. */
  readonly noise_percent: number;
}

/** Where THD+N leaves the trend of the lower levels for good. */
export interface FoundKnee extends Crossing {
  readonly trend: Trend;
}

/** Why a curve has no knee: no trend to leave, or THD+N never leaves it, or only gradually, as a soft clipper does. */
export type NoKnee = 'too-few-readings' | 'no-knee';

/** A knee, or why there is none, and what governs THD+N before it. */
export interface Knee {
  readonly found: FoundKnee | null;
  readonly why: NoKnee | null;
  /** THD+N of the trend at the knee, or its lowest reading without one; null without readings. */
  readonly plateau_percent: number | null;
  readonly governed_by: 'noise' | 'harmonics' | null;
  /** Decibels of power between 0.1 % and 1 %; null when either is missing. */
  readonly clipping_interval_dB: number | null;
}

/**
 * Slower than this, the factor of two is passed gradually and the power there says little: THD+N over its trend as a
 * power of power. A unit that clips hard reaches 30 to 300; one that bends softly stays below 3.
 */
const LEAST_STEEPNESS = 5;

/**
 * Knee of a curve of THD+N against power: the power above which THD+N stays over twice the trend of the lower
 * levels.
 *
 * @param points in any order
 * @param rise those of them that the trend rests on: the rise, without the captures that were taken later
 */
export function kneeOf(points: readonly KneePoint[], rise: readonly KneePoint[] = points): Knee {
  const trend = trendOf(rise);
  const knee = trend ? lastCrossing(overTrend(points, trend), 1) : null;
  const why = whyNone(points, trend, knee);
  const found = trend && knee && why === null ? { ...knee, trend } : null;
  return {
    found,
    why,
    plateau_percent: found ? found.trend.at(found.power_W) : lowestOf(points),
    governed_by: dominantResidue(points, trend),
    clipping_interval_dB: clippingInterval(points),
  };
}

/** The curve as THD+N over twice its trend: at the knee it passes 1. Below the trend there is none. */
export function overTrend<P extends CurvePoint>(points: readonly P[], trend: Trend): P[] {
  return points
    .filter(({ power_W }) => power_W >= trend.from_W)
    .map(aboveRounding)
    .map((point) => ({
      ...point,
      thdn_percent: point.thdn_percent / (TREND_FACTOR * trend.at(point.power_W)),
    }));
}

function whyNone(points: readonly CurvePoint[], trend: Trend | null, knee: Crossing | null): NoKnee | null {
  if (!trend) return 'too-few-readings';
  const top = points.reduce<CurvePoint | null>(
    (best, point) => (best && best.power_W >= point.power_W ? best : point),
    null,
  );
  const stays = top !== null && top.thdn_percent > TREND_FACTOR * trend.at(top.power_W);
  if (!knee || !stays) return 'no-knee';
  return 1 / knee.slope < LEAST_STEEPNESS ? 'no-knee' : null;
}

function lowestOf(points: readonly CurvePoint[]): number | null {
  return points.length === 0 ? null : Math.min(...points.map(({ thdn_percent }) => thdn_percent));
}

function clippingInterval(points: readonly CurvePoint[]): number | null {
  const [first, last] = [lastCrossing(points, 0.1), lastCrossing(points, 1)];
  return first && last ? decibelsOfPower(last.power_W / first.power_W) : null;
}

/** The plateau: readings no lower than this part of the trend's upper end. */
const PLATEAU_RANGE = 10;

/** Whether noise or harmonics make up the greater part of the power in what is read in the last decade of the trend. */
function dominantResidue(points: readonly KneePoint[], trend: Trend | null): 'noise' | 'harmonics' | null {
  const own = points.filter(
    ({ power_W }) => trend && power_W <= trend.to_W && power_W >= trend.to_W / PLATEAU_RANGE,
  );
  if (own.length === 0) return null;
  const share = own.reduce((sum, p) => sum + (p.noise_percent / p.thdn_percent) ** 2, 0) / own.length;
  return share >= 0.5 ? 'noise' : 'harmonics';
}
