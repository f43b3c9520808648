import { ChannelSearch, type MaxPowerLimits, PATIENCE, stopFor } from './channel-search.js';
import { nextClimbMove } from './climb-search.js';
import { byLevel, type LevelSample, lastBracket, RESOLUTION_dB } from './crossing-bracket.js';
import { givesNoMore } from './gives-no-more.js';
import { MOST_PEAK_CAPTURES, nextPeakLevel } from './next-peak-level.js';
import { MOST_SHAPE_CAPTURES, nextShapeLevel } from './next-shape-level.js';

export type MaxPowerMove = { readonly kind: 'play'; readonly asked_dBW: number } | { readonly kind: 'done' };

/** What became of one channel: its crossing is bracketed, or why there is none. */
export type MaxPowerEnd = 'found' | 'never-below' | 'level-limit' | 'far-over' | 'output-stopped-following';

const MOST_SAMPLES = 90;
const MOST_SHAPE_SAMPLES = PATIENCE + MOST_SHAPE_CAPTURES;

/**
 * The next level of a search for the highest power that keeps a threshold, from all that has been measured
 * at this frequency. Where the neighbour's answer is known, two captures beside the crossing that it lets one expect are
 * as a rule enough; where that fails, the steps widen until the crossing is bracketed, and the bracket is halved as in
 * a climb. All channels are played at one level, and each gets its own crossing; the lowest level that any
 * of them asks for is played next, so that none is driven over before it must be.
 */
export function nextMaxPowerMove(samples: readonly LevelSample[], limits: MaxPowerLimits): MaxPowerMove {
  if (!limits.near) return fromBelow(samples, limits);
  if (samples.length === 0) {
    const first_dBW = Math.max(limits.near.first_dBW, limits.from_dBW);
    return { kind: 'play', asked_dBW: Math.min(first_dBW, limits.most_dBW) };
  }
  if (samples.length >= MOST_SAMPLES) return { kind: 'done' };
  const sorted = byLevel(samples);
  const taken = (level_dBW: number) =>
    samples.some(({ asked_dBW }) => Math.abs(asked_dBW - level_dBW) < RESOLUTION_dB);
  const wanted = sorted[0]!.readings
    .map((_, i) => new ChannelSearch(sorted, i, limits).wanted())
    .filter((level_dBW) => level_dBW !== null)
    .filter((level_dBW) => !taken(level_dBW));
  if (wanted.length > 0) return { kind: 'play', asked_dBW: Math.min(...wanted) };
  const shape_dBW = samples.length < MOST_SHAPE_SAMPLES ? nextShapeLevel(samples) : null;
  const peak_dBW =
    samples.length < MOST_SHAPE_SAMPLES + MOST_PEAK_CAPTURES
      ? nextPeakLevel(sorted, limits.threshold_percent)
      : null;
  const asked_dBW = shape_dBW ?? peak_dBW;
  return asked_dBW === null ? { kind: 'done' } : { kind: 'play', asked_dBW };
}

function fromBelow(samples: readonly LevelSample[], limits: MaxPowerLimits): MaxPowerMove {
  const { from_dBW, most_dBW, threshold_percent } = limits;
  const marks_percent = [threshold_percent];
  const stop_percent = stopFor(threshold_percent);
  const move = nextClimbMove(samples, { from_dBW, most_dBW, marks_percent, stop_percent });
  return move.kind === 'play' ? move : { kind: 'done' };
}

/**
 * How the search ended for one channel.
 *
 * @param index of the channel within the readings
 */
export function maxPowerEnd(
  samples: readonly LevelSample[],
  index: number,
  { threshold_percent, most_dBW }: Pick<MaxPowerLimits, 'threshold_percent' | 'most_dBW'>,
): MaxPowerEnd {
  const sorted = byLevel(samples);
  if (lastBracket(sorted, index, threshold_percent)) return 'found';
  const own = sorted.map(({ readings }) => readings[index]!.thdn_percent);
  if (own.every((thdn_percent) => thdn_percent >= threshold_percent)) return 'never-below';
  if (sorted.at(-1)!.asked_dBW >= most_dBW - RESOLUTION_dB) return 'level-limit';
  return givesNoMore(sorted, index, threshold_percent) ? 'output-stopped-following' : 'far-over';
}
