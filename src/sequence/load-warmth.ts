import type { Load } from '../calibration/chain.js';

type Warmth = Pick<Load, 'rating_W' | 'thermal_s'>;

/**
 * Seconds for which a cold load may take a power before it is as warm as at its continuous rating, by first
 * order: P (1 - exp(-t/tau)) = rating. Infinite up to the rating.
 */
export function longestAt_s({ rating_W, thermal_s }: Warmth, power_W: number): number {
  // A power that was itself computed from the rating may come out a rounding error above it.
  if (power_W <= rating_W * (1 + 1e-9)) return Number.POSITIVE_INFINITY;
  return -thermal_s * Math.log1p(-rating_W / power_W);
}

/** First-order mean power of a load after `seconds` at `power_W`, from its mean before. */
export function meanAfter_W(
  { thermal_s }: Pick<Load, 'thermal_s'>,
  before_W: number,
  power_W: number,
  seconds: number,
): number {
  return power_W + (before_W - power_W) * Math.exp(-seconds / thermal_s);
}
