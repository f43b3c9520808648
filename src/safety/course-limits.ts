import type { BenchSetup } from '../bench/bench-setup.js';
import type { LoadWork, Plan } from '../sequence/plan.js';

/** What a whole run must not pass. */
export interface CourseLimits {
  /** Seconds, time that the operator took to answer not counted. */
  readonly time_s: number;
  /** Into all loads together. */
  readonly energy_J: number;
  /** Into single loads; one that is not listed is bound by the energy of all. */
  readonly loads: readonly LoadLimit[];
}

export interface LoadLimit {
  readonly channel: number;
  /** Nominal. */
  readonly load_ohm: number;
  readonly energy_J: number;
}

/** The estimate is more than any run comes to; half as much again is a run that goes wrong. */
const ENERGY_SHARE = 1.5;
/** A short plan may need more captures than were expected of it. */
const SPARE_s = 60;
/** A run that finds the unit slow to settle takes longer than estimated, but not like this. */
const TIME_SHARE = 2;
const SPARE_TIME_s = 600;

/** What a bench file may say of them. */
export type CourseKeys = Pick<BenchSetup, 'energyLimit_J' | 'timeLimit_s'>;

/**
 * The limits of a run: those of the bench file, or else by the plan. Energy: one and a half times the estimate and a
 * minute at the highest power. Time: twice the estimate and ten minutes, where the estimate is at least the time in
 * which the hottest load can be given its heat at its rating, since runs rest for loads that are driven beyond it.
 */
export function courseLimits(
  { estimate }: Plan,
  { energyLimit_J, timeLimit_s, channels }: CourseKeys & Pick<BenchSetup, 'channels'>,
): CourseLimits {
  const { seconds, worst, energy_J, loads } = estimate;
  const resting_s = loads.map((work) => work.heat_J / ratingOf(channels, work));
  return {
    time_s: timeLimit_s ?? TIME_SHARE * Math.max(seconds, ...resting_s) + SPARE_TIME_s,
    energy_J: energyLimit_J ?? ENERGY_SHARE * energy_J + SPARE_s * worst.total_W,
    loads: loads.map(({ channel, load_ohm, heat_J, most_W }) => ({
      channel,
      load_ohm,
      energy_J: ENERGY_SHARE * heat_J + SPARE_s * most_W,
    })),
  };
}

function ratingOf(channels: BenchSetup['channels'], { channel, load_ohm }: LoadWork): number {
  const chain = channels.find((candidate) => candidate.channel === channel);
  return (
    chain?.loads.find(({ nominal_ohm }) => nominal_ohm === load_ohm)?.rating_W ?? Number.POSITIVE_INFINITY
  );
}
