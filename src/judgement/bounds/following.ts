import { decibelsOfPower, powerRatio } from '../../units/decibel.js';
import { byDrive, type Trial } from './trials.js';

/**
 * How far output may fall behind the drive by clipping alone, dB: a cubic curve loses three times its third harmonic from
 * the fundamental (3 % in amplitude, 0.26 dB, for 1 %), an ideal clipper less (closed forms, derived here); a margin on top.
 */
const BY_CLIPPING_dB = 0.35;
/** Gain changes this much without anything acting on it: heat, another range of a meter. */
const SLACK_dB = 0.3;
/** Above this distortion the fundamental says nothing about gain. */
const MOST_PERCENT = 10;
/** Output that clips has more than this. */
const CLEAN_PERCENT = 0.5;
/**
 * Output that rises less than this for a decibel of drive, over at least so many decibels, rises no more. A search ends where
 * output lies 1 dB behind the drive, so that of a limiter it shows that less the next line.
 */
const FLAT = 0.1;
const FLAT_OVER_dB = 0.9;
/** Output this far behind the drive no longer lies on the flank of a peak. */
const STAYS_BEHIND_dB = 0.1;

/** Where output no longer follows the drive, although distortion does not tell of clipping. */
export interface StoppedFollowing {
  /** The highest power that was delivered. */
  readonly delivered_W: number;
  /** What the highest drive would have given by the gain at lower levels. */
  readonly linear_W: number;
  /** How far output lies behind the drive there. */
  readonly behind_dB: number;
  /** THD+N there. */
  readonly percent: number;
  /** More drive gives the same power: what was delivered is all there is. */
  readonly flat: boolean;
  /** More drive gives less power: the most that the peak can come to between the drives that were played. Else null. */
  readonly peak_W: number | null;
  readonly points: readonly number[];
}

/**
 * Tells from the gain at each level whether output stops following the drive: a limiter, automatic gain, thermal compression.
 *
 * @param trials of one channel, frequency, load and set of driven channels, within one step
 * @returns null where it follows to the end, or where fewer than two levels were played
 */
export function stoppedFollowing(trials: readonly Trial[]): StoppedFollowing | null {
  const rising = byDrive(trials.filter(({ distortion }) => distortion <= MOST_PERCENT));
  const gain_dB = Math.max(...rising.map(({ reading }) => reading.gain_dB));
  const top = rising.at(-1);
  if (!top || rising.length < 2 || follows(top, gain_dB)) return null;
  const first = rising.findLastIndex((trial) => follows(trial, gain_dB)) + 1;
  const behind = rising.slice(first);
  const behind_dB = gain_dB - top.reading.gain_dB;
  return {
    delivered_W: Math.max(...rising.map(({ reading }) => reading.power_W)),
    linear_W: top.reading.power_W * powerRatio(behind_dB),
    behind_dB,
    percent: top.distortion,
    flat: isFlat(rising, gain_dB),
    peak_W: peakOf(rising),
    points: behind.map(({ point }) => point.number),
  };
}

/**
 * Whether output that had stopped following the drive was read to follow it again at less: then it is the level that stops it,
 * and not the unit or its cables that have changed.
 *
 * @param trials of one channel, frequency, load and set of driven channels, within one step
 */
export function comesBack(trials: readonly Trial[]): boolean {
  const gain_dB = Math.max(...trials.map(({ reading }) => reading.gain_dB));
  const behind = trials.filter((trial) => !follows(trial, gain_dB));
  const [first_dB, last] = [
    Math.min(...behind.map(({ point }) => point.level_dB)),
    Math.min(...behind.map(({ point }) => point.number)),
  ];
  return trials.some(
    (trial) => trial.point.number > last && trial.point.level_dB < first_dB && follows(trial, gain_dB),
  );
}

/** Whether a trial follows the drive, given the gain at lower levels. */
export const follows = ({ reading, distortion }: Trial, gain_dB: number): boolean =>
  gain_dB - reading.gain_dB <= SLACK_dB + BY_CLIPPING_dB * distortion;

/**
 * Whether output stands still from some trial on that already stays behind the drive, up to the highest. A trial that follows
 * the drive may lie on the flank of a peak, with the same output on either side.
 */
function isFlat(rising: readonly Trial[], gain_dB: number): boolean {
  const last = rising.at(-1)!;
  const first = rising.findIndex((trial) => gain_dB - trial.reading.gain_dB >= STAYS_BEHIND_dB);
  const standing = rising.slice(first);
  const drive_dB = last.point.level_dB - standing[0]!.point.level_dB;
  return (
    drive_dB >= FLAT_OVER_dB &&
    standing.every(
      ({ reading }) => Math.abs(decibelsOfPower(last.reading.power_W / reading.power_W)) <= FLAT * drive_dB,
    )
  );
}

/** Output rises no faster than the drive: from the highest reading to the next drive, and from the one before to it. */
function peakOf(rising: readonly Trial[]): number | null {
  const power = (at: number) => rising[at]!.reading.power_W;
  const last = rising.length - 1;
  const highest = rising.reduce((at, _, i) => (power(i) > power(at) ? i : at), 0);
  const falls = rising.every((_, i) => i <= highest + 1 || power(i) <= power(i - 1));
  if (highest === last || !falls || decibelsOfPower(power(highest) / power(last)) < SLACK_dB) return null;
  const reach = (from: number) =>
    power(from) * powerRatio(rising[from + 1]!.point.level_dB - rising[from]!.point.level_dB);
  return Math.max(reach(highest), highest === 0 ? 0 : reach(highest - 1));
}

/**
 * A level that was requested and not delivered although distortion is low: a limiter, or a gain that is lower at this
 * frequency than where it was found.
 */
export function requestedInVain({ point, reading, distortion }: Trial): StoppedFollowing | null {
  const requested_W = point.asked_W;
  if (requested_W === null || !reading.flags.includes('power-not-reached') || distortion > CLEAN_PERCENT)
    return null;
  return {
    delivered_W: reading.power_W,
    linear_W: requested_W,
    behind_dB: decibelsOfPower(requested_W / reading.power_W),
    percent: distortion,
    ...{ flat: false, peak_W: null, points: [point.number] },
  };
}
