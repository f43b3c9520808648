import type { Band } from '../measure/analysis.js';
import { type Finding, numberOf } from '../record/finding.js';
import { findingsOf } from '../record/findings-of.js';
import type { RunRecord } from '../record/run-record.js';
import { ratesOf } from '../record/step-kinds.js';
import { decibelsOfPower } from '../units/decibel.js';
import { frequencyWords } from '../units/nominal-frequency.js';
import { atMains } from './at-mains.js';
import { SAME_POWER } from './bounds/conflict.js';
import { type Gap, gapKey, gapWords, untried, within } from './bounds/coverage.js';
import { doubtsOf } from './bounds/doubts.js';
import { type Evidence, evidenceAt, isFound, placeOf } from './bounds/evidence.js';
import { preferredBelow } from './preferred-number.js';
import { TRADE_RULE } from './protocol/trade-rule.js';
import { conflictWords, intervalWords } from './verdict/verdict-reason.js';

/** The distortions that a rating is given at, percent. */
export const RATING_LIMITS = [0.1, 1] as const;
/** The band that a rating has to be kept over. */
export const RATING_BAND = [20, 20_000] as const;
const MIDDLE_Hz = 1000;

/** A power with the place that decides it: the weakest channel, over a band at its weakest frequency. */
export interface RatedPower {
  readonly power_W: number;
  readonly uncertainty_W: number | null;
  /** What was read or found at the deciding place itself: more than `power_W` where another frequency was checked a little below. */
  readonly here_W: number;
  readonly frequency_Hz: number;
  readonly nominal_Hz: number;
  readonly channel: number;
  readonly step: string;
  /** The measuring band there. */
  readonly band_Hz: Band;
  /** Points that it rests on. */
  readonly points: readonly number[];
  /**
   * `found`: at the limit itself; `at-least`: the run did not drive the unit up to the limit there; `at-most`: another step
   * exceeded the limit at less power than was found, and nothing tells how much less the unit keeps.
   */
  readonly bound: 'found' | 'at-least' | 'at-most';
  /** Harmonics lay outside of the measuring band somewhere: the distortion may be higher than read. */
  readonly blind: boolean;
  /** It rests on readings that were not as before. */
  readonly changed: boolean;
}

/** What a unit gives at one distortion limit under one setting. */
export interface Rating {
  readonly limit_percent: number;
  /** Highest power kept from 20 Hz to 20 kHz; null when not all of the band was tried. */
  readonly band: RatedPower | null;
  /** What of the band was not tried, in words. */
  readonly untried: readonly string[];
  readonly at_1kHz: RatedPower | null;
  /** Highest preferred number (R20) that every channel meets with its guard band at every frequency; null without a band or uncertainty. */
  readonly conservative_W: number | null;
}

/** One load with one set of driven channels. */
export interface SettingRating {
  readonly load_ohm: number;
  readonly driven: readonly number[];
  readonly ratings: readonly Rating[];
  /** Of the climb nearest to 1 kHz, the channel whose knee comes first; null without a climb. */
  readonly knee: Finding | null;
}

/** The power of one setting beside that of another, at the same limit. */
export interface PowerRatio {
  readonly limit_percent: number;
  /** Whether it is the power over the band or that at 1 kHz. */
  readonly of: 'band' | '1 kHz';
  readonly from: { readonly load_ohm: number; readonly driven: readonly number[] };
  readonly to: { readonly load_ohm: number; readonly driven: readonly number[] };
  readonly ratio: number;
  readonly ratio_dB: number;
}

export interface Ratings {
  /** Of several mains voltages the highest, which all of this is for; null where there were not several. */
  readonly mains_V: number | null;
  readonly settings: readonly SettingRating[];
  /** From fewer channels driven to more, into the same load: dB below 0 are lost. */
  readonly by_driven: readonly PowerRatio[];
  /** From more ohms to fewer, with the same channels driven: a supply without sag gives the ratio of the loads. */
  readonly by_load: readonly PowerRatio[];
}

/** What a run rates a unit at. */
export function ratings(run: RunRecord): Ratings {
  const { record, mains_V, several } = atMains(run, null);
  const evidence = evidenceAt(record, RATING_LIMITS, 'THD+N');
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
        ratings: RATING_LIMITS.map((limit, i) => ratingOf(limit, own[i]!)),
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
    barred.length > 0 ? barred : holesOf(bandGaps(inBand, channels), bandGaps(evidence, channels));
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

/** What of the band some channel was not tried at, each place once. */
function bandGaps(pieces: readonly Evidence[], channels: readonly number[]): Gap[] {
  const gaps = channels.flatMap((channel) => {
    const own = pieces.filter((piece) => piece.channel === channel);
    return untried(
      own.map(({ nominal_Hz }) => nominal_Hz),
      RATING_BAND,
    );
  });
  return [...new Map(gaps.map((gap) => [gapKey(gap), gap])).values()];
}

/** What was played, but not near the limit, has not been left out altogether. */
function holesOf(gaps: readonly Gap[], unplayed: readonly Gap[]): string[] {
  const left = new Set(unplayed.map(gapKey));
  return [
    ...gapWords(gaps.filter((gap) => left.has(gapKey(gap)))),
    ...gapWords(
      gaps.filter((gap) => !left.has(gapKey(gap))),
      'near this limit',
    ),
  ];
}

const NOT_SEARCHED = 'only fixed levels were played: the power at this limit was not searched for';

/** Below this share of the most that the channel kept elsewhere, a level that was merely kept rates nothing. */
const TOO_LOW = 0.5;
/** A rating is kept from here up, as the trade rule has it (16 CFR 432.2(b)(2)). */
const RATED_FROM_W = TRADE_RULE.from_W;

/** The pieces that say how much power is kept, without those that were never driven to speak of. */
function worthRating(evidence: readonly Evidence[]): Evidence[] {
  const kept = evidence.filter(({ kept_W }) => kept_W !== null);
  const most = new Map<number, number>();
  for (const { channel, kept_W } of kept)
    most.set(channel, Math.max(kept_W!, most.get(channel) ?? Number.NEGATIVE_INFINITY));
  return kept.filter((piece) => isFound(piece) || piece.delivered_W >= TOO_LOW * most.get(piece.channel)!);
}

/** What forbids a rating at a place although a power was found there: it would not hold from the lowest power up, or not again. */
function barriers({ nominal_Hz, channel, exceeded_below, conflict }: Evidence): string[] {
  const at = `at ${frequencyWords(nominal_Hz)} on channel ${channel}`;
  const below = exceeded_below.filter(([, high_W]) => high_W >= RATED_FROM_W);
  return [
    ...below.map((interval) => `${at} the limit is exceeded ${intervalWords(interval)}`),
    ...(conflict === null ? [] : [`${at} ${conflictWords(conflict)}`]),
  ];
}

/** Where another step exceeded the limit at a little less power than was found, that is the most that is kept. */
function lowered(piece: Evidence, evidence: readonly Evidence[]): Evidence {
  const floor_W = piece.kept_W! * (1 - (piece.share ?? 0));
  const exceeded = evidence
    .filter((other) => other.step !== piece.step && placeOf(other) === placeOf(piece))
    .flatMap(({ passing }) => passing)
    .filter(({ power_W }) => power_W < floor_W && power_W >= piece.kept_W! * (1 - 2 * SAME_POWER));
  if (exceeded.length === 0) return piece;
  const { power_W, point } = exceeded.reduce((a, b) => (b.power_W < a.power_W ? b : a));
  return { ...piece, least_W: null, most_W: power_W, kept_W: power_W, points: [...piece.points, point] };
}

/** One piece for each channel and frequency: a power found before one that is only a bound, then the lowest found, or the highest bound. */
function bestPieces(kept: readonly Evidence[]): Evidence[] {
  const best = new Map<string, Evidence>();
  for (const piece of kept) {
    const before = best.get(placeOf(piece));
    if (!before || better(piece, before)) best.set(placeOf(piece), piece);
  }
  return [...best.values()];
}

function better(piece: Evidence, before: Evidence): boolean {
  if (isFound(piece) !== isFound(before)) return isFound(piece);
  return isFound(piece) ? piece.kept_W! < before.kept_W! : piece.kept_W! > before.kept_W!;
}

/** Places at which the limit was tried and kept at no level, in one sentence. */
function refusals(evidence: readonly Evidence[], best: readonly Evidence[]): string[] {
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

function weakest(pieces: readonly Evidence[]): RatedPower | null {
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
function lowestOver(pieces: readonly Evidence[]): RatedPower | null {
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

function conservative(pieces: readonly Evidence[]): number | null {
  const isUnsure = ({ share, flags, least_W, conflict }: Evidence) =>
    share === null || least_W === null || conflict !== null || doubtsOf(flags, 'kept').length > 0;
  if (pieces.some(isUnsure)) return null;
  return preferredBelow(Math.min(...pieces.map(({ kept_W, share }) => kept_W! * (1 - share!))));
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

type Follows = (from: SettingRating, to: SettingRating) => boolean;

/** The same load, and every channel of the first driven in the second, with others. */
const moreDriven: Follows = (from, to) =>
  from.load_ohm === to.load_ohm &&
  to.driven.length > from.driven.length &&
  from.driven.every((channel) => to.driven.includes(channel));

const lessLoad: Follows = (from, to) =>
  to.load_ohm < from.load_ohm && from.driven.join() === to.driven.join();

function ratios(settings: readonly SettingRating[], follows: Follows): PowerRatio[] {
  return settings.flatMap((from) =>
    settings
      .filter((to) => follows(from, to))
      .flatMap((to) => RATING_LIMITS.flatMap((_, i) => ratiosAt(from, to, i))),
  );
}

/** Only powers that were found can be divided: two bounds make no ratio. */
function ratiosAt(from: SettingRating, to: SettingRating, index: number): PowerRatio[] {
  const [before, after] = [from.ratings[index]!, to.ratings[index]!];
  const pairs = [
    ['band', before.band, after.band],
    ['1 kHz', before.at_1kHz, after.at_1kHz],
  ] as const;
  return pairs.flatMap(([of, a, b]) => {
    if (a?.bound !== 'found' || b?.bound !== 'found') return [];
    const ratio = b.power_W / a.power_W;
    return [
      {
        limit_percent: before.limit_percent,
        of,
        from: { load_ohm: from.load_ohm, driven: from.driven },
        to: { load_ohm: to.load_ohm, driven: to.driven },
        ratio,
        ratio_dB: decibelsOfPower(ratio),
      },
    ];
  });
}
