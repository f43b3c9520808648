import { median } from '../median.js';
import { PHASES } from './fold.js';

/** The two ends of a folded wave. */
export interface Tops {
  /**
   * Share of the cycle that lies within 2 % of the positive and the negative end; 0.128 for a sine, more for
   * flat tops.
   */
  readonly share: number;
  /** Median height over those parts, both positive, in the unit of the wave. */
  readonly positive: number;
  readonly negative: number;
}

/** The steepest stretch of a folded wave. */
export interface Slope {
  /** Share of the cycle whose slope lies within 5 % of the steepest; 0.202 for a sine, 1 for a triangle. */
  readonly share: number;
  /** Steepest slope, units of the wave per second. */
  readonly steepest_per_s: number;
}

const NEAR_TOP = 0.98;
const NEAR_STEEPEST = 0.95;
/** Slopes are taken over this many parts of the cycle (8 degrees), so that noise does not pass for steepness. */
const SPAN = 12;
/** What lies this near to a zero crossing of the fundamental, in radians, counts as near. */
export const NEAR_CROSSING_RAD = 0.3;

export function topsOf(cycle: Float64Array): Tops {
  const [high, low] = [Math.max(...cycle), Math.min(...cycle)];
  const [above, below] = [
    cycle.filter((v) => v >= NEAR_TOP * high),
    cycle.filter((v) => v <= NEAR_TOP * low),
  ];
  return {
    share: (above.length + below.length) / cycle.length,
    // The median lies on the flat part however much of the flanks is among them.
    positive: median(above),
    negative: -median(below),
  };
}

/** @param frequency_Hz of the cycle */
export function slopeOf(cycle: Float64Array, frequency_Hz: number): Slope {
  const parts = cycle.length;
  const slopes = cycle.map((_, i) => Math.abs(cycle[(i + SPAN) % parts]! - cycle[i]!));
  const steepest = Math.max(...slopes);
  const near = slopes.filter((slope) => slope >= NEAR_STEEPEST * steepest).length;
  return { share: near / parts, steepest_per_s: (steepest / SPAN) * parts * frequency_Hz };
}

/**
 * Share of the power of all but fundamental and mean that lies within 0.3 rad of the fundamental's zero
 * crossings; 0.191 when it is spread evenly.
 *
 * @param cycle begins where its fundamental, of peak `amplitude`, rises through zero
 */
export function crossingShare(cycle: Float64Array, amplitude: number, dc: number): number {
  let [near, all] = [0, 0];
  for (let i = 0; i < PHASES; i += 1) {
    const sine = Math.sin((2 * Math.PI * (i + 0.5)) / PHASES);
    const power = (cycle[i]! - dc - amplitude * sine) ** 2;
    all += power;
    if (Math.abs(sine) < Math.sin(NEAR_CROSSING_RAD)) near += power;
  }
  return all > 0 ? near / all : 0;
}
