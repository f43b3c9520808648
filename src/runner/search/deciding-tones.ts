import type { Reading } from '../../record/run-record.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import type { SweptTone } from '../memory/swept.js';

/**
 * The frequencies that decide how much of its power at 1 kHz a unit keeps over the band: those at which a sweep passed the
 * limit, or may have, or missed its level, the worst first; then those of the search that the sweep has left out. At all others
 * every channel kept the limit, at a power no lower than what the search will find.
 */
export function decidingTones(
  tones: readonly CoherentTone[],
  swept: readonly SweptTone[],
  threshold_percent: number,
): CoherentTone[] {
  const sweptAt = ({ nominal_Hz }: CoherentTone) => swept.find(({ tone }) => tone.nominal_Hz === nominal_Hz);
  const worst = (tone: CoherentTone) =>
    Math.max(...sweptAt(tone)!.readings.map(({ thdn_percent }) => thdn_percent));
  const short = ({ readings }: SweptTone) =>
    !readings.every((reading) => surelyKeeps(reading, threshold_percent));
  const known = tones.filter((tone) => sweptAt(tone) && short(sweptAt(tone)!));
  return [...known.sort((a, b) => worst(b) - worst(a)), ...tones.filter((tone) => !sweptAt(tone))];
}

/** Whether a reading shows that its level was reached and the limit kept, its own uncertainty counted against it. */
export function surelyKeeps(
  { thdn_percent, thdn_uncertainty_percent, flags }: Reading,
  threshold_percent: number,
): boolean {
  const most_percent = thdn_percent + (thdn_uncertainty_percent ?? 0);
  return most_percent < threshold_percent && !flags.includes('power-not-reached');
}
