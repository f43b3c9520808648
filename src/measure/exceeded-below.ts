import { decibelsOfPower } from '../units/decibel.js';
import { byPower, type CurvePoint, lastCrossing } from './crossing.js';

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
