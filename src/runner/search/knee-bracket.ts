import { overTrend } from '../../measure/knee.js';
import { riseOf, trendOf } from '../../measure/trend.js';
import { type Bracket, byLevel, type LevelSample, lastBracket } from './crossing-bracket.js';

/**
 * The two neighbouring levels between which THD+N of a channel leaves the trend of the rise for good; null where it has no
 * trend, or does not. In it THD+N stands over twice the trend, so that the knee is crossed at 1. The trend rests on the rise
 * alone, so that captures taken to find the knee do not move it.
 *
 * @param taken in the order in which they were taken, the rise at an end
 * @param index of the channel within the readings
 */
export function kneeBracket(taken: readonly LevelSample[], index: number): Bracket | null {
  const rise = riseOf(taken, ({ asked_dBW }) => asked_dBW);
  const trend = trendOf(rise.map(({ readings }) => readings[index]!));
  if (!trend) return null;
  const relative = byLevel(taken).flatMap(({ asked_dBW, readings }) =>
    overTrend([readings[index]!], trend).map((reading) => ({ asked_dBW, readings: [reading] })),
  );
  const stays = (relative.at(-1)?.readings[0]?.thdn_percent ?? 0) > 1;
  return stays ? lastBracket(relative, 0, 1) : null;
}
