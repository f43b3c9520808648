import type { Interval } from '../record/finding.js';
import { SAME_POWER } from './conflict.js';
import { exceeds, keeps, type Look, shareOf } from './looks.js';

/**
 * Stretches of power below the highest that keeps a limit in which it is exceeded: crossover, a hump where rails switch,
 * noise. Each from the lowest to the highest reading that exceeds it, with none between them that keeps it.
 *
 * @param looks of one setting, whatever the step
 */
export function exceededBelow(looks: readonly Look[], limit_percent: number): Interval[] {
  const telling = looks
    .filter((look) => keeps(look, limit_percent) || exceeds(look, limit_percent))
    .sort((a, b) => a.reading.power_W - b.reading.power_W);
  const last = telling.findLastIndex((look) => keeps(look, limit_percent));
  const intervals: [low_W: number, high_W: number][] = [];
  let open = false;
  for (const look of telling.slice(0, Math.max(0, last))) {
    const { power_W } = look.reading;
    if (!exceeds(look, limit_percent)) open = false;
    else if (open) intervals.at(-1)![1] = power_W;
    else {
      intervals.push([power_W, power_W]);
      open = true;
    }
  }
  const top_W = telling[last]?.reading.power_W ?? 0;
  const share = last < 0 ? 0 : Math.max(shareOf(telling[last]!.reading) ?? 0, SAME_POWER);
  // Readings on either side of the limit at one power are its crossing.
  return intervals.filter(([low_W]) => low_W < top_W * (1 - share));
}
