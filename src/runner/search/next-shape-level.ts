import { powerRatio } from '../../units/decibel.js';
import { byLevel, type LevelSample } from './crossing-bracket.js';

/** THD+N jumps where it moves by more than this factor beyond what a trend makes of it. */
const JUMP = 2;
/** A trend rises no faster than power (third harmonic), and falls no faster than its root (noise). */
const RISES = 1;
const FALLS = 0.5;
/** Between levels closer than this nothing more is looked for. */
const CLOSE_dB = 0.25;

/** Captures that a search may spend on what lies between levels. */
export const MOST_SHAPE_CAPTURES = 12;

/**
 * Where to look between two neighbouring levels of which no trend leads from one to the other, so that a hump or a gap shows
 * its width and its height: the middle of the widest such pair. A rise that does not come back is clipping, and left to the
 * search for its crossing. Humps narrower than the steps of the search are not excluded.
 *
 * @returns null where all shapes are known
 */
export function nextShapeLevel(samples: readonly LevelSample[]): number | null {
  const sorted = byLevel(samples);
  const pairs = (sorted[0]?.readings ?? []).flatMap((_, index) => jumps(sorted, index));
  const widest = pairs.sort((a, b) => b.width_dB - a.width_dB)[0];
  return widest ? widest.low_dBW + widest.width_dB / 2 : null;
}

/** Pairs of neighbouring levels between which THD+N of one channel jumps. */
function jumps(sorted: readonly LevelSample[], index: number) {
  const thdn = sorted.map(({ readings }) => Math.max(readings[index]!.thdn_percent, 1e-9));
  return sorted.slice(1).flatMap(({ asked_dBW }, i) => {
    const low_dBW = sorted[i]!.asked_dBW;
    const width_dB = asked_dBW - low_dBW;
    const grown = powerRatio(width_dB);
    const ratio = thdn[i + 1]! / thdn[i]!;
    const comesBack = thdn.slice(i + 2).some((later) => later < thdn[i + 1]! / JUMP);
    const jumpsUp = ratio > JUMP * grown ** RISES && comesBack;
    const jumpsDown = 1 / ratio > JUMP * grown ** FALLS;
    return width_dB > CLOSE_dB && (jumpsUp || jumpsDown) ? [{ low_dBW, width_dB }] : [];
  });
}
