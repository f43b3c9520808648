import { exceededBelow as stretchesBelow } from '../measure/exceeded-below.js';
import type { Interval } from '../record/finding.js';
import { SAME_POWER } from './conflict.js';
import { exceeds, keeps, type Look, shareOf } from './looks.js';

/**
 * Stretches of power below the highest that keeps a limit in which it is exceeded for certain: crossover, a hump where rails
 * switch, noise.
 *
 * @param looks of one setting, whatever the step
 */
export function exceededBelow(looks: readonly Look[], limit_percent: number): Interval[] {
  const kept = looks.filter((look) => keeps(look, limit_percent));
  if (kept.length === 0) return [];
  const telling = [...kept, ...looks.filter((look) => exceeds(look, limit_percent))];
  const top = kept.reduce((a, b) => (b.reading.power_W > a.reading.power_W ? b : a)).reading;
  const crossing_W = top.power_W * (1 - Math.max(shareOf(top) ?? 0, SAME_POWER));
  const points = telling
    .map(({ reading, distortion }) => ({ power_W: reading.power_W, thdn_percent: distortion }))
    // Readings on either side of the limit at one power are its crossing.
    .filter(({ power_W, thdn_percent }) => power_W < crossing_W || thdn_percent <= limit_percent);
  return stretchesBelow(points, limit_percent);
}
