import type { Band } from '../measure/analysis.js';
import { given } from './claim-words.js';

/** A frequency played stands for a nominal one this near, and a frequency for its neighbours within an octave. */
const NEAR = 0.01;
const WIDEST_STEP = 2.05;

/** Whether a frequency lies in a band, or on its edge as near as it is played. */
export const within = (frequency_Hz: number, [low, high]: Band): boolean =>
  frequency_Hz >= low * (1 - NEAR) && frequency_Hz <= high * (1 + NEAR);

/**
 * What of a band was not tried: its ends, and stretches wider than an octave between two frequencies (common
 * practice, no source). Empty when all of it was.
 */
export function untried(frequencies_Hz: readonly number[], band: Band): string[] {
  const inside = [...new Set(frequencies_Hz.filter((frequency) => within(frequency, band)))].sort(
    (a, b) => a - b,
  );
  const [low, high] = band;
  const near = (wanted: number) => inside.some((frequency) => Math.abs(frequency / wanted - 1) <= NEAR);
  const ends = [...new Set(band)]
    .filter((end) => !near(end))
    .map((end) => `not measured at ${given(end, 'Hz')}`);
  if (low === high || ends.length > 0) return ends;
  return inside.slice(1).flatMap((frequency, i) => {
    const below = inside[i]!;
    return frequency / below > WIDEST_STEP
      ? [`not measured between ${given(below, 'Hz')} and ${given(frequency, 'Hz')}`]
      : [];
  });
}
