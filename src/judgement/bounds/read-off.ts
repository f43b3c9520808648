import type { Budget } from '../../measure/budget.js';
import { leastGain } from '../restate/clipping-model.js';
import { type StoppedFollowing, stoppedFollowing } from './following.js';
import { bestOf, byDrive, exceeds, keeps, shareOf, type Trial, worstOf } from './trials.js';

/** What trials show of the highest power that keeps a limit. */
export interface Shown {
  /** The limit is kept up to here for certain; null when it was never kept. */
  readonly least_W: number | null;
  /** The limit is exceeded beyond here for certain; null when nothing tells. The same as `least_W` where it was found. */
  readonly most_W: number | null;
  /** The highest power that was read to keep the limit, or found: `least_W` without what is inferred. */
  readonly kept_W: number | null;
  /** Expanded uncertainty over the power; null when not stated. */
  readonly share: number | null;
  readonly budget: Budget | null;
  /** The limit was exceeded at every level, and no dip between two of them can have kept it. */
  readonly never_kept: boolean;
  /** The trials that decide. */
  readonly trials: readonly Trial[];
  /** Whether output stopped following the drive. */
  readonly stopped: StoppedFollowing | null;
}

/** A crossing between two readings this close in drive counts as found, the rest is interpolated: the bracket of a climb, doubled. */
const FOUND_dB = 0.1;
/** Drives nearer than this are one. */
const LEAST_GAP_dB = 0.01;
/** A gap of drive in which a hump may hide: two steps of a coarse climb. */
const WIDE_dB = 2.05;
/** Where climbs stop, less what a reading may lie below it. */
const STOP_PERCENT = 0.95;
/** Distortion that grows by this factor from its lowest to the last level is clipping, not noise or crossover. */
const RISES = 2;

/** What can be shown of a channel besides the trials themselves. */
export interface Reach {
  /** The highest power that the channel was read to deliver in this setting, at whatever frequency, while following the drive. */
  readonly delivered_W: number;
}

/**
 * The highest power that keeps a limit, by the trials of one step at one setting: the last crossing on the way up in drive,
 * or how far the limit was kept, or from where on it was not.
 *
 * Between a reading and the limit power is taken to grow at least as much as that of an ideal clipper, upwards only while
 * output follows the drive, and never beyond what the channel was seen to deliver.
 *
 * @param looks at least one
 */
export function readOff(trials: readonly Trial[], limit_percent: number, reach: Reach): Shown {
  const rising = byDrive(trials);
  const stopped = stoppedFollowing(trials);
  const ground: ReadOffGround = { limit_percent, reach, stopped };
  const last = rising.findLastIndex(({ distortion }) => distortion <= limit_percent);
  if (last < 0) return neverKept(rising, ground);
  const [low, high] = [rising[last]!, rising[last + 1] ?? null];
  if (high === null) return keptToTheEnd(rising, low, ground);
  if (!isBeyond(rising, last, limit_percent)) return bounded(low, null, ground);
  return isBracket(low, high) ? between(low, high, ground) : bounded(low, high, ground);
}

/**
 * Whether the trials go far enough past the limit, without a gap or a dip in which it may be kept again, to tell the end of the
 * curve from the flank of a hump.
 */
function isBeyond(rising: readonly Trial[], last: number, limit_percent: number): boolean {
  const reaches = (percent: number) =>
    rising.findIndex(({ distortion }, i) => i > last && distortion >= percent);
  const far = Math.min(RISES * limit_percent, STOP_PERCENT);
  if (reaches(far) < 0 || mayDip(rising, last + 2, limit_percent)) return false;
  // A hump may be higher than that: up to where a climb would stop, a wide gap may hide its far side.
  const stop = reaches(STOP_PERCENT);
  const end = stop < 0 ? rising.length - 1 : stop;
  return rising.slice(last + 1, end).every((_, i) => gapAfter(rising, last + 1 + i) <= WIDE_dB);
}

interface ReadOffGround {
  readonly limit_percent: number;
  readonly reach: Reach;
  readonly stopped: StoppedFollowing | null;
}

/** A level that was held: its worst reading counts, since it is the unit warm. */
export function heldThrough(trials: readonly Trial[], limit_percent: number, reach: Reach): Shown {
  const ground: ReadOffGround = { limit_percent, reach, stopped: stoppedFollowing(trials) };
  const lowest = (some: readonly Trial[]) =>
    some.reduce((a, b) => (b.reading.power_W < a.reading.power_W ? b : a));
  const passed = trials.filter(({ distortion }) => distortion > limit_percent);
  if (passed.length > 0) return bounded(null, lowest(passed), ground);
  const worst = trials.reduce((a, b) => (worstOf(b) > worstOf(a) ? b : a));
  const { distortion, reading } = worst;
  const least = lowest(trials);
  const { thdn_uncertainty_percent } = reading;
  return bounded(
    { ...least, distortion, reading: { ...least.reading, thdn_uncertainty_percent } },
    null,
    ground,
  );
}

/** Above the limit from the start. Only where distortion rises with level does that bound the power: noise and crossover fall. */
function neverKept(rising: readonly Trial[], ground: ReadOffGround): Shown {
  const { limit_percent } = ground;
  const lowest = rising.reduce((at, trial, i) => (trial.distortion <= rising[at]!.distortion ? i : at), 0);
  const never_kept = bestOf(rising[lowest]!) > limit_percent && !mayDip(rising, 1, limit_percent);
  const clips = rising.length === 1 || rising.at(-1)!.distortion >= RISES * rising[lowest]!.distortion;
  const shown =
    clips && never_kept
      ? bounded(null, rising[0]!, ground)
      : { ...ofTrial(rising[0]!), least_W: null, most_W: null, kept_W: null, stopped: ground.stopped };
  return { ...shown, never_kept };
}

/** Whether the limit may be kept between two trials that exceed it, if distortion goes on falling as it did up to the first. */
function mayDip(rising: readonly Trial[], from: number, limit_percent: number): boolean {
  return rising.slice(from, -1).some((trial, i) => {
    const before = rising[from + i - 1];
    if (!before || trial.distortion >= before.distortion) return false;
    const gaps = gapAfter(rising, from + i) / Math.max(gapAfter(rising, from + i - 1), LEAST_GAP_dB);
    return bestOf(trial) * (trial.distortion / before.distortion) ** gaps <= limit_percent;
  });
}

/** Decibels of drive from one trial to the next. */
const gapAfter = (rising: readonly Trial[], at: number): number =>
  rising[at + 1]!.point.level_dB - rising[at]!.point.level_dB;

/** More drive that gives no more power leaves nothing above; less power, no more than up to the next drive. */
function keptToTheEnd(rising: readonly Trial[], low: Trial, ground: ReadOffGround): Shown {
  const { stopped, limit_percent } = ground;
  const highest = rising
    .filter((trial) => keeps(trial, limit_percent))
    .reduce<Trial | null>((a, b) => (a === null || b.reading.power_W > a.reading.power_W ? b : a), null);
  if (highest === null || !stopped || !(stopped.flat || stopped.peak_W !== null))
    return bounded(low, null, ground);
  const { power_W } = highest.reading;
  const most_W = stopped.flat ? power_W : Math.max(power_W, stopped.peak_W!);
  return { ...ofTrial(highest), least_W: power_W, most_W, kept_W: power_W, stopped };
}

const isBracket = (low: Trial, high: Trial): boolean =>
  Math.abs(10 * Math.log10(high.reading.power_W / low.reading.power_W)) <= FOUND_dB &&
  Math.abs(high.point.level_dB - low.point.level_dB) <= 2 * FOUND_dB;

function between(low: Trial, high: Trial, { limit_percent, stopped }: ReadOffGround): Shown {
  const share = logRatio(limit_percent, low.distortion) / logRatio(high.distortion, low.distortion);
  const ratio = high.reading.power_W / low.reading.power_W;
  const power_W = low.reading.power_W * ratio ** share;
  const slope = Math.abs(Math.log(ratio) / logRatio(high.distortion, low.distortion));
  return {
    ...ofTrial(low),
    share: withDistortion(low, limit_percent, slope),
    ...{ least_W: power_W, most_W: power_W, kept_W: power_W, stopped },
    trials: [low, high],
  };
}

/** The uncertainty of the power itself, and that of the limit by the steepness of the curve: independent of each other. */
function withDistortion({ reading }: Trial, limit_percent: number, slope: number): number | null {
  const own = shareOf(reading);
  if (own === null) return null;
  return Math.hypot(own, (slope * (reading.thdn_uncertainty_percent ?? 0)) / limit_percent);
}

/** A distortion of exactly 0 has no logarithm; nothing real is below this. */
const LEAST_PERCENT = 1e-12;
const logRatio = (a: number, b: number): number => Math.log(a / Math.max(b, LEAST_PERCENT));

/** A reading whose own uncertainty reaches over the limit bounds nothing. */
function bounded(
  kept: Trial | null,
  passed: Trial | null,
  { limit_percent, reach, stopped }: ReadOffGround,
): Shown {
  const kept_W = kept && keeps(kept, limit_percent) ? kept.reading.power_W : null;
  const top_W =
    passed && exceeds(passed, limit_percent)
      ? passed.reading.power_W / leastGain(limit_percent, bestOf(passed))
      : null;
  const grown_W = kept_W === null ? null : grown(kept!, kept_W, limit_percent, reach);
  const least_W = stopped ? kept_W : grown_W;
  const crossed = least_W !== null && top_W !== null && least_W > top_W;
  const trials = [kept, passed].filter((trial) => trial !== null);
  return {
    ...ofTrial(trials[0]!),
    least_W: crossed ? kept_W : least_W,
    most_W: crossed ? Math.max(kept_W!, passed!.reading.power_W) : top_W,
    kept_W,
    stopped,
    trials,
  };
}

/** Up to where the limit is kept if power grows by clipping alone: no further than the channel was seen to go. */
function grown(kept: Trial, kept_W: number, limit_percent: number, { delivered_W }: Reach): number {
  if (kept.reading.flags.includes('power-not-reached')) return kept_W;
  return Math.max(kept_W, Math.min(kept_W * leastGain(worstOf(kept), limit_percent), delivered_W));
}

const ofTrial = (trial: Trial): Pick<Shown, 'share' | 'budget' | 'trials' | 'never_kept'> => ({
  never_kept: false,
  share: shareOf(trial.reading),
  budget: null,
  trials: [trial],
});
