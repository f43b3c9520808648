import type { Load } from '../calibration/chain.js';
import { meanAfter_W } from '../sequence/load-warmth.js';
import type { LoadWarmth } from './load-memory.js';

/** What one run has put into a load. */
export interface HeatShare {
  /** Name of its bench. */
  readonly bench: string;
  /** When it began, and up to when its share is known: milliseconds since 1970. */
  readonly from_ms: number;
  readonly until_ms: number;
  /** First-order mean of its own power at that end, as if the load had been cold before, and the energy. */
  readonly mean_W: number;
  readonly energy_J: number;
  /** By which its share falls. */
  readonly thermal_s: number;
}

type Heated = Pick<Load, 'rating_W' | 'thermal_s'>;

/** Below this share of its rating a load counts as cold, and the energy that it took as gone. */
const COLD_SHARE = 0.01;
/** What a load can have taken of which nothing is known: its rating for five time constants. */
const UNKNOWN_TIMES = 5;

/** As much as a run can have put into a load, of which no more is known than when it was. */
export function unknownShare(
  { rating_W, thermal_s }: Heated,
  time: Pick<HeatShare, 'bench' | 'from_ms' | 'until_ms'>,
): HeatShare {
  const seconds = Math.min(UNKNOWN_TIMES * thermal_s, Math.max(0, time.until_ms - time.from_ms) / 1000);
  return { ...time, mean_W: rating_W, energy_J: rating_W * seconds, thermal_s };
}

/** What is left of a share, watts. One of a moment that is yet to come by this clock was just now. */
export const leftAt_W = ({ mean_W, until_ms, thermal_s }: HeatShare, at_ms: number, slowest_s = thermal_s) =>
  meanAfter_W({ thermal_s: Math.max(slowest_s, thermal_s) }, mean_W, 0, Math.max(0, at_ms - until_ms) / 1000);

/**
 * How warm a load is by all that was put into it: by first order every share falls for itself, and the load has their sum; where its
 * bench file has another time constant than then, they fall by the longer one. No warmer than its rating, beyond which a run rests.
 * The energy is that of all shares since the load was last cold.
 */
export function warmthBy(
  load: Heated,
  shares: readonly HeatShare[],
  now_ms: number,
): Pick<LoadWarmth, 'mean_W' | 'energy_J'> {
  const isCold = (some: readonly HeatShare[], at_ms: number) =>
    sumOf(some.map((share) => leftAt_W(share, at_ms, load.thermal_s))) < COLD_SHARE * load.rating_W;
  if (isCold(shares, now_ms)) return { mean_W: 0, energy_J: 0 };
  const inTurn = shares.toSorted((a, b) => a.from_ms - b.from_ms);
  const first = inTurn.findLastIndex(({ from_ms }, i) => isCold(inTurn.slice(0, i), from_ms));
  const mean_W = sumOf(shares.map((share) => leftAt_W(share, now_ms, load.thermal_s)));
  return {
    mean_W: Math.min(load.rating_W, mean_W),
    energy_J: sumOf(inTurn.slice(first).map(({ energy_J }) => energy_J)),
  };
}

/** Seconds of silence until a load counts as cold. */
export function untilCold_s({ rating_W, thermal_s }: Heated, mean_W: number): number {
  return Math.max(0, thermal_s * Math.log(mean_W / (COLD_SHARE * rating_W)));
}

const sumOf = (numbers: readonly number[]): number => numbers.reduce((sum, number) => sum + number, 0);
