import { dBW } from '../../units/decibel.js';
import type { LevelSample } from './crossing-bracket.js';
import { givesNoMore } from './gives-no-more.js';

/** The highest output of a channel that stops following lies between levels no further apart than this. */
const PEAK_dB = 0.025;
/** Output that gains less than this part of the drive up to its highest is flat there. */
const FLAT = 0.1;
/** A step up to the highest level tells whether output still rises there if it is no wider. */
const TELLING_dB = 0.8;
/** Output this far behind the drive no longer follows it. */
const BEHIND_dB = 0.3;
/** Captures that a search may spend on it: halving 3 dB down to that on both sides takes fourteen. */
export const MOST_PEAK_CAPTURES = 16;

/**
 * Where to look next for the highest output of a channel that no longer follows the drive: between levels that were played, the
 * wider side of the highest first. Captures at less drive also show whether the output comes back there, as that of a limiter does.
 * Where the output still rises at the top, what more drive would give is not known, and not tried.
 *
 * @param sorted from the lowest level to the highest
 * @param stop_percent the highest THD+N that the search goes to
 */
export function nextPeakLevel(sorted: readonly LevelSample[], stop_percent: number): number | null {
  const gaps = (sorted[0]?.readings ?? []).flatMap((_, index) =>
    givesNoMore(sorted, index, stop_percent) ? gapsAround(sorted, index) : [],
  );
  const widest = gaps.sort((a, b) => b.width_dB - a.width_dB)[0];
  return widest ? widest.low_dBW + widest.width_dB / 2 : null;
}

function gapsAround(sorted: readonly LevelSample[], index: number) {
  const powers = sorted.map(({ readings }) => readings[index]!.power_W);
  const highest = powers.indexOf(Math.max(...powers));
  const gaps = [highest - 1, highest].flatMap((at) => {
    const [low, high] = [sorted[at], sorted[at + 1]];
    if (!low || !high) return [];
    const width_dB = high.asked_dBW - low.asked_dBW;
    return [{ low_dBW: low.asked_dBW, width_dB, gained_dB: dBW(powers[at + 1]!) - dBW(powers[at]!) }];
  });
  // One wide step tells a limiter from a compressor no better than it tells where either begins.
  const rises = gaps.some(
    ({ width_dB, gained_dB }) =>
      highest === sorted.length - 1 && gained_dB > FLAT * width_dB && width_dB <= TELLING_dB,
  );
  return rises ? onset(sorted, powers) : gaps.filter(({ width_dB }) => width_dB > PEAK_dB);
}

/** The step in which output begins to stay behind: a look at less drive shows that it comes back there. */
function onset(sorted: readonly LevelSample[], powers: readonly number[]) {
  const gains = sorted.map(({ asked_dBW }, i) => dBW(powers[i]!) - asked_dBW);
  const last = gains.findLastIndex((gain) => Math.max(...gains) - gain < BEHIND_dB);
  const [low, high] = [sorted[last]!, sorted[last + 1]];
  const width_dB = high ? high.asked_dBW - low.asked_dBW : 0;
  return width_dB > TELLING_dB ? [{ low_dBW: low.asked_dBW, width_dB, gained_dB: 0 }] : [];
}
