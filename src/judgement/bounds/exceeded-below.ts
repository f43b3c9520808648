import { exceededBelow as stretchesBelow } from '../../measure/crossing.js';
import type { Interval } from '../../record/finding.js';
import { SAME_POWER } from './conflict.js';
import { exceeds, keeps, shareOf, type Trial } from './trials.js';

/**
 * Stretches of power below the highest that keeps a limit in which it is exceeded for certain: crossover, a hump where rails
 * switch, noise. Along the curve of each step; where a step never keeps the limit, from its lowest to its highest reading.
 *
 * @param visits trials of one setting, a list for each step
 */
export function exceededBelow(visits: readonly (readonly Trial[])[], limit_percent: number): Interval[] {
  const kept = visits.flat().filter((trial) => keeps(trial, limit_percent));
  if (kept.length === 0) return [];
  const top = kept.reduce((a, b) => (b.reading.power_W > a.reading.power_W ? b : a)).reading;
  // Readings on either side of the limit at one power are its crossing.
  const crossing_W = top.power_W * (1 - Math.max(shareOf(top) ?? 0, SAME_POWER));
  const found = visits.flatMap((trials): Interval[] => {
    const over = trials.filter(
      (trial) => exceeds(trial, limit_percent) && trial.reading.power_W < crossing_W,
    );
    const own = trials.filter((trial) => keeps(trial, limit_percent));
    const powers = over.map(({ reading }) => reading.power_W);
    if (over.length === 0) return [];
    const along = stretchesBelow([...over, ...own].map(curvePoint), limit_percent);
    return along.length > 0 ? along : [[Math.min(...powers), Math.max(...powers)]];
  });
  return merged(found);
}

const curvePoint = ({ reading, distortion }: Trial) => ({
  power_W: reading.power_W,
  thdn_percent: distortion,
});

function merged(intervals: readonly Interval[]): Interval[] {
  const rising = [...intervals].sort(([a], [b]) => a - b);
  return rising.reduce<Interval[]>((done, [low_W, high_W]) => {
    const last = done.at(-1);
    // Two steps that begin at one level do not begin at the very same power.
    if (last && low_W <= last[1] * (1 + SAME_POWER))
      done[done.length - 1] = [last[0], Math.max(last[1], high_W)];
    else done.push([low_W, high_W]);
    return done;
  }, []);
}
