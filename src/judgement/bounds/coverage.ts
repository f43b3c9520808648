import type { Band } from '../../measure/analysis.js';
import { given } from '../claim/claim-words.js';

/** A frequency played stands for a nominal one this near, and a frequency for its neighbours within an octave. */
const NEAR = 0.01;
const WIDEST_STEP = 2.05;

/** Whether a frequency lies in a band, or on its edge as near as it is played. */
export const within = (frequency_Hz: number, [low, high]: Band): boolean =>
  frequency_Hz >= low * (1 - NEAR) && frequency_Hz <= high * (1 + NEAR);

/** What of a band was not tried: a frequency, or a stretch between two that were. */
export type Untried = { readonly at_Hz: number } | { readonly between_Hz: Band };

/**
 * What of a band was not tried: its ends, and stretches wider than an octave between two frequencies (common
 * practice, no source). Empty when all of it was.
 */
export function untried(frequencies_Hz: readonly number[], band: Band): Untried[] {
  const inside = [...new Set(frequencies_Hz.filter((frequency) => within(frequency, band)))].sort(
    (a, b) => a - b,
  );
  const [low, high] = band;
  const near = (wanted: number) => inside.some((frequency) => Math.abs(frequency / wanted - 1) <= NEAR);
  const ends = [...new Set(band)].filter((end) => !near(end)).map((at_Hz): Untried => ({ at_Hz }));
  if (low === high || ends.length > 0) return ends;
  return inside.slice(1).flatMap((frequency, i): Untried[] => {
    const below = inside[i]!;
    return frequency / below > WIDEST_STEP ? [{ between_Hz: [below, frequency] }] : [];
  });
}

/** Two gaps with the same key are one and the same. */
export const gapKey = (gap: Untried): string => JSON.stringify(gap);

/**
 * One phrase for frequencies, one for stretches: `not measured near this limit at 20 Hz and 20 kHz`.
 *
 * @param near what was not reached there, such as `near this limit`; empty where nothing was played at all
 */
export function gapWords(gaps: readonly Untried[], near = ''): string[] {
  const places = gaps.flatMap((gap) => ('at_Hz' in gap ? [given(gap.at_Hz, 'Hz')] : []));
  const stretches = gaps.flatMap((gap) =>
    'between_Hz' in gap ? [gap.between_Hz.map((end) => given(end, 'Hz')).join(' and ')] : [],
  );
  const lead = ['not measured', near].filter((part) => part !== '').join(' ');
  return [
    ...(places.length === 0 ? [] : [`${lead} at ${listed(places)}`]),
    ...(stretches.length === 0 ? [] : [`${lead} between ${listed(stretches, ', and between ')}`]),
  ];
}

const listed = (parts: readonly string[], last = ' and '): string =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')}${last}${parts.at(-1)}`;
