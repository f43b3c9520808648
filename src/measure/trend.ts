import { byPower, type CurvePoint } from './crossing.js';
import { type NonNegativeFit, nonNegativeFit } from './non-negative-fit.js';

/**
 * The captures of a climb's rise: the first ones, as long as each lies above the one before. What comes later refines it.
 *
 * @param taken in the order in which they were taken
 * @param levelOf any measure of level
 */
export function riseOf<T>(taken: readonly T[], levelOf: (capture: T) => number): T[] {
  const end = taken.findIndex((capture, i) => i > 0 && levelOf(capture) <= levelOf(taken[i - 1]!));
  return taken.slice(0, end < 0 ? taken.length : end);
}

/** How THD+N goes with power before a unit clips, continued to any power. */
export interface Trend {
  /** The readings that it explains lie between these powers. Below the lower one it says nothing. */
  readonly from_W: number;
  readonly to_W: number;
  /** Percent at a power. */
  at(power_W: number): number;
  /** Standard uncertainty of one reading beside the trend at a power, as a share of THD+N. */
  spreadAt(power_W: number): number;
  readonly degrees_of_freedom: number;
}

/** A reading that lies further from the trend than this share of it is not explained by it. */
export const TREND_WITHIN_PERCENT = 25;
/** Over this many times its trend, THD+N has left it. */
export const TREND_FACTOR = 2;
/** Both, as a finding states them. */
export const KNEE_TERMS = { trend_factor: TREND_FACTOR, trend_within_percent: TREND_WITHIN_PERCENT } as const;
/** With fewer readings in a row there is no trend: four terms go through any four. */
const LEAST_READINGS = 5;
/** What a simulated unit without noise reads is rounding, which has no trend: THD+N counts as no less than this. */
const ROUNDING_PERCENT = 1e-9;
/** An excursion has come back when THD+N has fallen to this part of its highest. */
const BACK = 1 / TREND_FACTOR;

/**
 * The trend of the lower levels: D^2 = a / P + b + c P + e P^2, all four at least 0, by least squares on relative
 * weights. Noise of constant voltage makes D fall as P^-1/2, the residue of a bench keeps it, a second harmonic raises
 * it as P^1/2 and a third as P; higher orders are left out on purpose, since they are what clipping begins with.
 *
 * Fitted to the longest run of readings from the bottom that it explains. An excursion that comes back (a rail switch) is
 * left out, and so is what lies under a run that the readings leave downwards (crossover distortion, a gate).
 *
 * @param points in any order; only those of a rise, so that captures taken later where THD+N moves do not move the trend
 * @returns null with fewer than five readings in a row that a trend explains
 */
export function trendOf(points: readonly CurvePoint[]): Trend | null {
  let used = byPower(points).map(aboveRounding);
  while (used.length >= LEAST_READINGS) {
    const run = longestRun(used);
    const next = run && used[run.length];
    if (!run) used = used.slice(1);
    else if (!next) return run.trend;
    else if (next.thdn_percent < run.trend.at(next.power_W)) used = used.slice(1);
    else {
      const back = comesBack(used, run);
      if (back === null) return run.trend;
      const returned = used[back]!;
      const within = returned.thdn_percent <= TREND_FACTOR * run.trend.at(returned.power_W);
      used = within ? [...used.slice(0, run.length), ...used.slice(back)] : used.slice(back);
    }
  }
  return null;
}

/** The point, with no less THD+N than rounding. */
export const aboveRounding = <P extends CurvePoint>(point: P): P => ({
  ...point,
  thdn_percent: Math.max(point.thdn_percent, ROUNDING_PERCENT),
});

/** Readings from the bottom and the trend that explains them. */
interface Run {
  readonly length: number;
  readonly trend: Trend;
}

function longestRun(used: readonly CurvePoint[]): Run | null {
  const rows = used.map(({ power_W, thdn_percent }) => termsAt(power_W).map((x) => x / thdn_percent ** 2));
  for (let length = used.length; length >= LEAST_READINGS; length -= 1) {
    const points = used.slice(0, length);
    const trend = fitted(points, rows.slice(0, length));
    const explained = (point: CurvePoint) =>
      trend !== null &&
      Math.abs(point.thdn_percent / trend.at(point.power_W) - 1) <= TREND_WITHIN_PERCENT / 100;
    if (trend && points.every(explained)) return { length, trend };
  }
  return null;
}

/** The first reading after a run at which an excursion from its trend has come back; null: there is none, or it stays. */
function comesBack(used: readonly CurvePoint[], { length, trend }: Run): number | null {
  let highest = 0;
  for (let i = length; i < used.length; i += 1) {
    const { power_W, thdn_percent } = used[i]!;
    highest = Math.max(highest, thdn_percent);
    const over = thdn_percent > TREND_FACTOR * trend.at(power_W);
    const left = highest > TREND_FACTOR * trend.at(power_W);
    if (left && (!over || thdn_percent <= BACK * highest)) return i;
  }
  return null;
}

const termsAt = (power_W: number): number[] => [1 / power_W, 1, power_W, power_W ** 2];

/** @param rows of each point, its four terms over the square of its THD+N */
function fitted(points: readonly CurvePoint[], rows: readonly (readonly number[])[]): Trend | null {
  const fit = nonNegativeFit(
    rows,
    points.map(() => 1),
  );
  const freedom = fit ? points.length - fit.active.length : 0;
  return fit && freedom >= 1 ? trendFrom(fit, points, freedom) : null;
}

/**
 * The spread is that of one more reading by ordinary regression: s^2 (1 + leverage), s^2 being the scatter over the
 * degrees of freedom (textbook formula, from memory). It is halved, since the fit is one of D^2.
 */
function trendFrom(fit: NonNegativeFit, points: readonly CurvePoint[], degrees_of_freedom: number): Trend {
  const squareAt = (power_W: number) =>
    termsAt(power_W).reduce((sum, x, i) => sum + x * fit.coefficients[i]!, 0);
  return {
    from_W: points[0]!.power_W,
    to_W: points.at(-1)!.power_W,
    at: (power_W) => Math.sqrt(squareAt(power_W)),
    spreadAt: (power_W) => {
      const square = squareAt(power_W);
      const leverage = fit.leverage(termsAt(power_W).map((x) => x / square));
      return Math.sqrt((fit.scatter / degrees_of_freedom) * (1 + leverage)) / 2;
    },
    degrees_of_freedom,
  };
}
