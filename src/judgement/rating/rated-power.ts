import { decibelsOfPower } from '../../units/decibel.js';
import { doubtsOf } from '../bounds/doubts.js';
import { type Evidence, isFound } from '../bounds/evidence.js';
import { preferredBelow } from './preferred-number.js';
import type { RatedPower } from './rating.js';

export function weakest(pieces: readonly Evidence[]): RatedPower | null {
  if (pieces.length === 0) return null;
  const worst = pieces.reduce((a, b) => (b.kept_W! < a.kept_W! ? b : a));
  const { share, frequency_Hz, nominal_Hz, channel, step, band_Hz, points } = worst;
  const power_W = worst.kept_W!;
  return {
    power_W,
    uncertainty_W: share === null ? null : share * power_W,
    here_W: power_W,
    ...{ frequency_Hz, nominal_Hz, channel, step, band_Hz, points },
    bound: isFound(worst) ? 'found' : worst.least_W === null ? 'at-most' : 'at-least',
    blind: pieces.some(({ flags }) => flags.includes('harmonics-out-of-band')),
    changed: pieces.some(({ flags }) => flags.includes('not-as-before')),
  };
}

/** A level that was kept this little below a power that was found elsewhere brackets the power over the band. */
const BRACKET_dB = 0.05;

/**
 * The power over a band. Every channel keeps the lowest level that was kept at all frequencies, and none keeps more than
 * the lowest power that was found at one of them. Where the two come together the power over the band is found, decided where
 * the search found it; what lies between them is part of its uncertainty.
 */
export function lowestOver(pieces: readonly Evidence[]): RatedPower | null {
  const lowest = weakest(pieces);
  const deciding = weakest(pieces.filter(isFound));
  if (!lowest || !deciding || lowest.bound !== 'at-least') return lowest;
  const gap_W = deciding.power_W - lowest.power_W;
  if (decibelsOfPower(deciding.power_W / lowest.power_W) > BRACKET_dB) return lowest;
  const own_W = deciding.uncertainty_W;
  return {
    ...deciding,
    power_W: lowest.power_W,
    uncertainty_W: own_W === null ? null : Math.hypot(own_W, gap_W),
    points: [...deciding.points, ...lowest.points],
    blind: lowest.blind,
    changed: lowest.changed,
  };
}

export function conservative(pieces: readonly Evidence[]): number | null {
  const isUnsure = ({ share, flags, least_W, conflict }: Evidence) =>
    share === null || least_W === null || conflict !== null || doubtsOf(flags, 'kept').length > 0;
  if (pieces.some(isUnsure)) return null;
  return preferredBelow(Math.min(...pieces.map(({ kept_W, share }) => kept_W! * (1 - share!))));
}
