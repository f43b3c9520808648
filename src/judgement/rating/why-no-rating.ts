import { frequencyWords } from '../../units/nominal-frequency.js';
import { gapKey, gapWords, type Untried, untried, within } from '../bounds/coverage.js';
import { type Evidence, placeOf } from '../bounds/evidence.js';
import { TRADE_RULE } from '../protocol/trade-rule.js';
import { conflictWords, intervalWords } from '../verdict/verdict-reason.js';
import { RATING_BAND } from './rating.js';
import { TOO_LOW } from './telling-pieces.js';

/** A rating is kept from here up, as the trade rule has it (16 CFR 432.2(b)(2)). */
const RATED_FROM_W = TRADE_RULE.from_W;

/** What of the band some channel was not tried at, each place once. */
export function bandGaps(pieces: readonly Evidence[], channels: readonly number[]): Untried[] {
  const gaps = channels.flatMap((channel) => {
    const own = pieces.filter((piece) => piece.channel === channel);
    return untried(
      own.map(({ nominal_Hz }) => nominal_Hz),
      RATING_BAND,
    );
  });
  return [...new Map(gaps.map((gap) => [gapKey(gap), gap])).values()];
}

/** Thirds of an octave from 20 Hz to 20 kHz. */
const THIRDS = 31;

/**
 * Why a band has no figure: how few of its frequencies were played, where whole stretches are missing; what was left out, and
 * what was played, but not near the limit.
 *
 * @param played nominal frequencies inside the band
 */
export function holesOf(
  gaps: readonly Untried[],
  unplayed: readonly Untried[],
  played: readonly number[],
): string[] {
  const left = new Set(unplayed.map(gapKey));
  const few = new Set(played.map(frequencyWords)).size;
  const wide = gaps.length > 0 && unplayed.some((gap) => 'between_Hz' in gap) && few < THIRDS;
  return [
    ...(wide ? [`${few} of ${THIRDS} frequencies measured`] : []),
    ...gapWords(gaps.filter((gap) => left.has(gapKey(gap)))),
    ...gapWords(
      gaps.filter((gap) => !left.has(gapKey(gap))),
      'near this limit',
    ),
  ];
}

export const NOT_SEARCHED = 'only fixed levels were played: the power at this limit was not searched for';

/** What forbids a rating at a place although a power was found there: it would not hold from the lowest power up, or not again. */
export function barriers({ nominal_Hz, channel, exceeded_below, conflict }: Evidence): string[] {
  const at = `at ${frequencyWords(nominal_Hz)} on channel ${channel}`;
  const below = exceeded_below.filter(([, high_W]) => high_W >= RATED_FROM_W);
  return [
    ...below.map((interval) => `${at} the limit is exceeded ${intervalWords(interval)}`),
    ...(conflict === null ? [] : [`${at} ${conflictWords(conflict)}`]),
  ];
}

/** Places at which the limit was tried and kept at no level, in one sentence. */
export function refusals(evidence: readonly Evidence[], best: readonly Evidence[]): string[] {
  const kept = new Set(best.map(placeOf));
  const most = Math.max(0, ...best.map(({ kept_W }) => kept_W!));
  const refused = evidence.filter(
    ({ kept_W, nominal_Hz, delivered_W }) =>
      kept_W === null && within(nominal_Hz, RATING_BAND) && delivered_W >= TOO_LOW * most,
  );
  const places = refused.filter((piece) => !kept.has(placeOf(piece))).map(({ nominal_Hz }) => nominal_Hz);
  if (places.length === 0) return [];
  const count = new Set(places).size;
  const [low, high] = [frequencyWords(Math.min(...places)), frequencyWords(Math.max(...places))];
  const where = count === 1 ? `at ${low}` : `at ${count} frequencies from ${low} to ${high}`;
  return [`${where} the limit was exceeded at every level played`];
}
