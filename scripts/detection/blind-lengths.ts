import { coherentTone } from '../../src/signal/coherent-tone.js';
import { LONGEST_GAP } from './damage.js';

/** A tone and the gaps that nothing can show: whole numbers of its cycles. */
export interface Blind {
  readonly nominal_Hz: number;
  readonly rate_Hz: number;
  /** Frames of one cycle. */
  readonly period: number;
  /** The lengths, up to 1000, that leave the least of a slip, and how much, in frames. */
  readonly least: readonly { readonly frames: number; readonly slip: number }[];
}

/** How far a gap of so many frames is from whole cycles, in frames. */
export function slipOf(frames: number, period: number): number {
  return frames - period * Math.round(frames / period);
}

/** The gap lengths of 1 to 1000 that come nearest to whole cycles of a test tone, those below `most` frames of slip. */
export function blindLengths(nominal_Hz: number, rate_Hz: number, most: number): Blind {
  const tone = coherentTone({ nominal_Hz, rate_Hz });
  const period = tone.frames / tone.cycles;
  const least = Array.from({ length: LONGEST_GAP }, (_, i) => ({
    frames: i + 1,
    slip: slipOf(i + 1, period),
  }))
    .filter(({ slip }) => Math.abs(slip) < most)
    .sort((a, b) => Math.abs(a.slip) - Math.abs(b.slip));
  return { nominal_Hz, rate_Hz, period, least };
}
