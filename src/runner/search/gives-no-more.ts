import { dBW } from '../../units/decibel.js';
import type { LevelReading, LevelSample } from './crossing-bracket.js';

/**
 * An output that has fallen so far behind the drive no longer follows it. Clipping alone does that late: a sine clipped to 10 %
 * has fallen 1.1 dB behind, which a search that goes beyond 3 % must be let.
 */
const BEHIND_dB = 1;
const BEHIND_AT_HIGH_THRESHOLD_dB = 2.5;
const HIGH_THRESHOLD_PERCENT = 3;
/** And gives less than this part of what the drive still gains, over at least so many decibels of it. */
const GIVES = 0.5;
const OVER_dB = 0.5;

/**
 * Whether the output of a channel gains so little by more drive at the top of a search that going on is in vain, whatever THD+N
 * says: a limiter, an automatic gain, or clipping whose harmonics lie outside the band. What that proves of the unit is another
 * question, which the judgement answers from the same readings (`judgement/bounds/following.ts`).
 *
 * @param sorted from the lowest level to the highest
 * @param index of the channel within the readings
 * @param stop_percent the highest THD+N that the search goes to
 */
export function givesNoMore(sorted: readonly LevelSample[], index: number, stop_percent: number): boolean {
  const top = sorted.at(-1);
  const before = top && sorted.findLast(({ asked_dBW }) => asked_dBW <= top.asked_dBW - OVER_dB + 1e-9);
  if (!top || !before) return false;
  const gainAt = ({ asked_dBW, readings }: LevelSample) => fundamental_dBW(readings[index]!) - asked_dBW;
  const behind_dB = Math.max(...sorted.map(gainAt)) - gainAt(top);
  const gained_dB = fundamental_dBW(top.readings[index]!) - fundamental_dBW(before.readings[index]!);
  const most_dB = stop_percent > HIGH_THRESHOLD_PERCENT ? BEHIND_AT_HIGH_THRESHOLD_dB : BEHIND_dB;
  return behind_dB > most_dB && gained_dB < GIVES * (top.asked_dBW - before.asked_dBW);
}

/** Noise is no output that follows: at low level it would pass for a gain that is lost later. */
function fundamental_dBW({ power_W, thdn_percent }: LevelReading): number {
  return dBW(power_W * Math.max(1 - (thdn_percent / 100) ** 2, 1e-12));
}
