import { look } from './look.js';
import type { Missed } from './tally.js';

/** What breaks that nobody saw did to the readings. */
export interface Harm {
  readonly missed: number;
  /** The least THD+N of an undamaged capture in which a break was missed, percent. */
  readonly least_thdn_percent: number;
  /** The most that was added to THD+N, by power, percent. */
  readonly added_percent: number;
  /** The farthest that the fundamental went, decibels. */
  readonly level_dB: number;
}

const farther = (a: number, b: number) => (Math.abs(Math.log(a)) > Math.abs(Math.log(b)) ? a : b);

/** Measures each of these captures as it was before its damage and after. */
export function harmOf(missed: readonly Missed[]): Harm {
  let [least_thdn_percent, added_percent, level_ratio] = [Number.POSITIVE_INFINITY, 0, 1];
  for (const { spec, damage } of missed) {
    const [before, after] = [look(spec, null), look(spec, damage)];
    least_thdn_percent = Math.min(least_thdn_percent, before.thdn_percent);
    const added = after.thdn_percent ** 2 - before.thdn_percent ** 2;
    added_percent = Math.max(added_percent, Math.sqrt(Math.max(0, added)));
    level_ratio = farther(after.fundamental_rms / before.fundamental_rms, level_ratio);
  }
  return {
    missed: missed.length,
    least_thdn_percent,
    added_percent,
    level_dB: Math.abs(20 * Math.log10(level_ratio)),
  };
}
