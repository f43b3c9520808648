import { decibelsOfPower } from '../units/decibel.js';

/** One point of a curve of distortion against power, for one channel. */
export interface CurvePoint {
  readonly power_W: number;
  readonly thdn_percent: number;
}

/** Where a curve crosses a threshold. */
export interface Crossing {
  readonly power_W: number;
  /** Width in power of the pair of points that it lies between. */
  readonly bracket_dB: number;
  /** Share by which the power grows for a share of THD+N, between the pair of points: d ln P / d ln D. */
  readonly slope: number;
  /** Limits, as a share of the power, within which the curve keeps to the straight line between the two. */
  readonly interpolation: number;
}

/** A distortion of exactly 0 has no logarithm; nothing real is below this. */
const LEAST_PERCENT = 1e-12;
/** Slopes that differ by less than this share are alike. */
const ROUNDING = 1e-9;

/**
 * The last upward crossing of a distortion threshold on the way up in power, by straight line in log
 * power against log distortion. A curve that only falls through the threshold, as noise makes it at low
 * level, does not cross it; nor does one that lies above it from the start.
 *
 * @param points in any order; powers and distortions above 0, others are left out
 */
export function lastCrossing(points: readonly CurvePoint[], threshold_percent: number): Crossing | null {
  const rising = byPower(points);
  for (let i = rising.length - 2; i >= 0; i--) {
    const [below, above] = [rising[i]!, rising[i + 1]!];
    if (below.thdn_percent >= threshold_percent || above.thdn_percent < threshold_percent) continue;
    const ratio = above.power_W / below.power_W;
    const [from, to] = [logs(below), logs(above)];
    const at = Math.log(threshold_percent);
    const share = (at - from.x) / (to.x - from.x);
    return {
      power_W: below.power_W * ratio ** share,
      bracket_dB: decibelsOfPower(ratio),
      slope: slopeOf(from, to),
      interpolation: bend([rising[i - 1], below, above, rising[i + 2]], at),
    };
  }
  return null;
}

/** A point of the curve as it is interpolated: log power over log THD+N. */
interface LogPoint {
  readonly x: number;
  readonly y: number;
}

function logs({ power_W, thdn_percent }: CurvePoint): LogPoint {
  return { x: Math.log(Math.max(thdn_percent, LEAST_PERCENT)), y: Math.log(power_W) };
}

const slopeOf = (from: LogPoint, to: LogPoint): number => (to.y - from.y) / (to.x - from.x);

/**
 * How far a curve may stray from the straight line between the second and the third of four points. While it bends the
 * same way all along, it lies between that line and the lines through its neighbours, drawn on. Derived; no source.
 * Where it does not, or a neighbour is missing, only the bracket itself is known: as far as its further end. Never more
 * than that.
 */
function bend(
  [before, below, above, after]: readonly [
    CurvePoint | undefined,
    CurvePoint,
    CurvePoint,
    CurvePoint | undefined,
  ],
  x: number,
): number {
  const [from, to] = [logs(below), logs(above)];
  const chord = from.y + slopeOf(from, to) * (x - from.x);
  const furthest = Math.max(chord - from.y, to.y - chord);
  if (!before || !after) return furthest;
  const [first, last] = [logs(before), logs(after)];
  const slopes = [slopeOf(first, from), slopeOf(from, to), slopeOf(to, last)] as const;
  const turns = [slopes[1] - slopes[0], slopes[2] - slopes[1]];
  const rounding = ROUNDING * Math.abs(slopes[1]);
  const bendsDown = turns.every((turn) => turn <= rounding);
  const bendsUp = turns.every((turn) => turn >= -rounding);
  if (first.x >= from.x || to.x >= last.x || !(bendsDown || bendsUp)) return furthest;
  const drawnOn = [from.y + slopes[0] * (x - from.x), to.y - slopes[2] * (to.x - x)];
  return Math.min(furthest, ...drawnOn.map((y) => Math.abs(y - chord)));
}

/** The points that have a logarithm of power, in order of power. */
export function byPower<P extends CurvePoint>(points: readonly P[]): P[] {
  return points
    .filter(({ power_W, thdn_percent }) => power_W > 0 && thdn_percent >= 0)
    .sort((a, b) => a.power_W - b.power_W);
}

/** A stretch of power, watts. */
type Stretch = readonly [low_W: number, high_W: number];

/**
 * Where a curve passes a THD+N limit at less than the highest power that keeps it: crossover, the hump of a rail switch,
 * noise. Each stretch ends where a straight line in log power against log THD+N crosses the limit, the first one also at
 * the lowest reading; below that nothing is known, nor of a hump between two readings.
 *
 * @param points in any order
 * @returns rising; none where the limit is never kept
 */
export function exceededBelow(points: readonly CurvePoint[], threshold_percent: number): Stretch[] {
  const rising = byPower(points);
  const over = (point: CurvePoint) => point.thdn_percent >= threshold_percent;
  const keeps = rising.findLastIndex((point) => !over(point));
  const stretches: Stretch[] = [];
  for (let i = 0; i < keeps; i += 1) {
    if (!over(rising[i]!)) continue;
    const first = i;
    while (over(rising[i + 1]!)) i += 1;
    const low_W =
      first === 0 ? rising[0]!.power_W : crossed(rising[first - 1]!, rising[first]!, threshold_percent);
    stretches.push([low_W, crossed(rising[i + 1]!, rising[i]!, threshold_percent)]);
  }
  return stretches;
}

/** Power at the limit between a reading that keeps it and one that does not, whichever is the stronger. */
function crossed(keeps: CurvePoint, passes: CurvePoint, threshold_percent: number): number {
  const rising = keeps.power_W < passes.power_W;
  if (rising) return lastCrossing([keeps, passes], threshold_percent)!.power_W;
  // The same line, with power counted the other way round.
  const turned = ({ power_W, thdn_percent }: CurvePoint) => ({ power_W: 1 / power_W, thdn_percent });
  return 1 / lastCrossing([turned(keeps), turned(passes)], threshold_percent)!.power_W;
}

/** Decibels of power between the two neighbouring readings that lie furthest apart, of those below a power. */
export function widestStep_dB(points: readonly CurvePoint[], below_W: number): number {
  const rising = byPower(points).filter(({ power_W }) => power_W <= below_W);
  const steps = rising.slice(1).map(({ power_W }, i) => decibelsOfPower(power_W / rising[i]!.power_W));
  return Math.max(0, ...steps);
}
