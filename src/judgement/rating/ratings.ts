import { type Finding, numberOf } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import { ratesOf } from '../../record/step-kinds.js';
import { atMains } from '../at-mains.js';
import { within } from '../bounds/coverage.js';
import { type Evidence, evidenceAt, isFound } from '../bounds/evidence.js';
import { lessLoad, moreDriven, ratios } from './power-ratios.js';
import { conservative, lowestOver, weakest } from './rated-power.js';
import { MIDDLE_Hz, RATING_BAND, type Rating, type Ratings, type SettingRating } from './rating.js';
import { ratingLimits } from './rating-limits.js';
import { bestPieces, lowered, worthRating } from './telling-pieces.js';
import { bandGaps, barriers, holesOf, NOT_SEARCHED, refusals } from './why-no-rating.js';

/** What a run rates a unit at. */
export function ratings(run: RunRecord): Ratings {
  const { record, mains_V, several } = atMains(run, null);
  const limits = ratingLimits(record);
  const evidence = evidenceAt(record, limits, 'THD+N');
  const places = new Map(
    evidence.flat().map(({ load_ohm, driven }) => [JSON.stringify([load_ohm, driven]), { load_ohm, driven }]),
  );
  const settings = [...places.values()]
    .sort((a, b) => b.load_ohm - a.load_ohm || a.driven.length - b.driven.length)
    .map(({ load_ohm, driven }): SettingRating => {
      const here = (piece: Evidence) =>
        piece.load_ohm === load_ohm &&
        piece.driven.join() === driven.join() &&
        ratesOf(piece.stepKind) === 'continuous';
      const own = evidence.map((pieces) => pieces.filter(here));
      return {
        load_ohm,
        driven,
        ratings: limits.map((limit, i) => ratingOf(limit, own[i]!)),
        knee: firstKnee(record, load_ohm, driven),
      };
    });
  return {
    mains_V: several ? mains_V : null,
    settings,
    by_driven: ratios(settings, moreDriven),
    by_load: ratios(settings, lessLoad),
  };
}

function ratingOf(limit_percent: number, evidence: readonly Evidence[]): Rating {
  const pieces = bestPieces(worthRating(evidence));
  const best = pieces.map((piece) => lowered(piece, evidence));
  const channels = [...new Set(evidence.map(({ channel }) => channel))];
  const inBand = best.filter(({ nominal_Hz }) => within(nominal_Hz, RATING_BAND));
  const barred = [...new Set(inBand.flatMap(barriers)), ...refusals(evidence, pieces)];
  // Where the limit was exceeded at every level, saying that the place was not measured would be wrong.
  const holes =
    barred.length > 0
      ? barred
      : holesOf(
          bandGaps(inBand, channels),
          bandGaps(evidence, channels),
          evidence
            .map(({ nominal_Hz }) => nominal_Hz)
            .filter((nominal_Hz) => within(nominal_Hz, RATING_BAND)),
        );
  const searched = evidence.some(isFound);
  const whole = channels.length > 0 && holes.length === 0 && searched;
  const middle = best.filter(
    (piece) => within(piece.nominal_Hz, [MIDDLE_Hz, MIDDLE_Hz]) && piece.conflict === null,
  );
  return {
    limit_percent,
    band: whole ? lowestOver(inBand) : null,
    untried: holes.length > 0 || searched ? holes : [NOT_SEARCHED],
    // The weakest channel has no figure where it kept the limit at no level: another's would not speak for it.
    at_1kHz: channels.every((channel) => middle.some((piece) => piece.channel === channel))
      ? weakest(middle)
      : null,
    conservative_W: whole ? conservative(inBand) : null,
  };
}

function firstKnee(record: RunRecord, load_ohm: number, driven: readonly number[]): Finding | null {
  const knees = findingsOf(record).filter(
    ({ quantity, setting }) =>
      quantity === 'knee-power' && setting.load_ohm === load_ohm && setting.driven.join() === driven.join(),
  );
  const off = ({ stimulus }: Finding) => Math.abs(Math.log((stimulus.nominal_Hz ?? MIDDLE_Hz) / MIDDLE_Hz));
  const nearest = Math.min(...knees.map(off));
  const near = knees.filter((knee) => off(knee) === nearest);
  if (near.length === 0) return null;
  return near.reduce((a, b) => ((numberOf(b) ?? Infinity) < (numberOf(a) ?? Infinity) ? b : a));
}
