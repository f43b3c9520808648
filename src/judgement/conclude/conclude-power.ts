import type { Cause } from '../../measure/cause/question.js';
import { findingsOf } from '../../record/findings-of.js';
import { isFound } from '../bounds/evidence.js';
import {
  RATING_BAND,
  type RatedPower,
  type Rating,
  type Ratings,
  type SettingRating,
} from '../rating/rating.js';
import { levelsTold } from './conclude-levels.js';
import { unfound } from './conclude-unfound.js';
import type { Conclusion, ConclusionCode } from './conclusion.js';
import { type ConclusionGround, conclude, type Here, here, placeAt, settingOf } from './conclusion-ground.js';

const MIDDLE_Hz = 1000;

/**
 * How much power: for the hardest setting that tells something first as the answer, for the others beside it. The power of
 * the full band, or why there is none, then that at 1 kHz, and what limits it.
 *
 * @param claimed_ohm the load of a claim, which is then the setting to speak of
 */
export function powerConclusions(
  ground: ConclusionGround,
  { settings }: Ratings,
  claimed_ohm: number | null,
): Conclusion[] {
  const ordered = [...settings].sort(
    (a, b) =>
      Number(b.load_ohm === claimed_ohm) - Number(a.load_ohm === claimed_ohm) ||
      b.driven.length - a.driven.length ||
      b.load_ohm - a.load_ohm,
  );
  const told = ordered
    .map((setting) => settingConclusions(ground, setting))
    .filter((some) => some.length > 0);
  const [lead = [], ...others] = told;
  // The ratings tell of all settings; the opening of one more, by its figure.
  const beside = others
    .map((own) => own.filter(({ code }) => FIGURES.has(code)).slice(0, 1))
    .slice(0, 1)
    .flat();
  return [...lead, ...beside.map((one): Conclusion => ({ ...one, role: 'beside' }))];
}

const FIGURES: ReadonlySet<ConclusionCode> = new Set(['full-band-power', 'power-at']);

function settingConclusions(ground: ConclusionGround, rated: SettingRating): Conclusion[] {
  const band = fullBand(ground, rated);
  const found = band.some(({ code }) => code === 'full-band-power');
  const middle = powerAtMiddle(ground, withoutTold(rated, band), found);
  const ends = unfound(ground, rated, found || middle.length > 0);
  // A limit that was kept at no level says why there is no figure of the band.
  const said = ends.some((one) => one.code === 'climb-ended' && one.end.by === 'never-below');
  const told = said ? band.filter(({ code }) => code !== 'no-full-band-power') : band;
  // What was found leads, and what was not found at another limit comes after it.
  const leads = (one: Conclusion) =>
    one.code !== 'no-full-band-power' || one.limit_percent === ground.asked_percent;
  const figures = [...told.filter(leads), ...middle, ...told.filter((one) => !leads(one)), ...ends];
  const others = levelsTold(ground, rated);
  return [
    ...figures,
    ...limitedBy(ground, figures),
    ...others.map((one): Conclusion => (figures.length === 0 ? { ...one, role: 'answer' } : one)),
  ];
}

/** Where 1 kHz decides the full band, a second figure at that limit would only differ within U. */
function withoutTold(rated: SettingRating, band: readonly Conclusion[]): SettingRating {
  const told = band.flatMap((one) =>
    one.code === 'full-band-power' && one.power.nominal_Hz === MIDDLE_Hz ? [one.limit_percent] : [],
  );
  return { ...rated, ratings: rated.ratings.filter(({ limit_percent }) => !told.includes(limit_percent)) };
}

/**
 * At the limit that the run is about, else at the strictest that gives a figure; where an earlier one gives none, why not.
 * Where that figure is only a bound, the power that was found at another limit comes before it.
 */
function fullBand(ground: ConclusionGround, { load_ohm, driven, ratings }: SettingRating): Conclusion[] {
  const setting = settingOf(ground, { load_ohm, driven });
  const places = here(ground.evidence[0]!, { load_ohm, driven }).map(({ nominal_Hz }) => nominal_Hz);
  if (new Set(places).size < 2) return [];
  const conclusions: Conclusion[] = [];
  const asked = ({ limit_percent }: Rating) => Number(limit_percent === ground.asked_percent);
  const ordered = [...ratings].sort((a, b) => asked(b) - asked(a));
  for (const { limit_percent, band, untried, conservative_W } of ordered) {
    if (band === null) {
      const missed = conclusions.length === 0 && hasSearched(ground, { load_ohm, driven }, limit_percent);
      if (missed)
        conclusions.push(
          conclude('answer', { code: 'no-full-band-power', setting, limit_percent, why: untried }),
        );
      continue;
    }
    const told = conclusions.some(({ code }) => code === 'full-band-power');
    if (told && band.bound !== 'found') continue;
    const place = told ? 0 : conclusions.length;
    conclusions.splice(
      place,
      0,
      conclude(
        'answer',
        {
          ...{ code: 'full-band-power', setting, limit_percent, power: band },
          ...{ over_Hz: RATING_BAND, rating_W: conservative_W },
        },
        restingOn(band),
      ),
    );
    if (band.bound === 'found') break;
  }
  return conclusions;
}

/** Whether a run looked for the power at a limit at all, so that a missing figure needs a reason. */
const hasSearched = (
  { evidence, limits_percent }: ConclusionGround,
  at: Here,
  limit_percent: number,
): boolean =>
  here(evidence[limits_percent.indexOf(limit_percent)] ?? [], at).some(({ most_W }) => most_W !== null);

const restingOn = ({ points, step }: RatedPower) => ({ points, steps: [step] });

function powerAtMiddle(
  ground: ConclusionGround,
  { load_ohm, driven, ratings }: SettingRating,
  brief: boolean,
): Conclusion[] {
  const powers = ratings
    .flatMap(({ limit_percent, at_1kHz }) => (at_1kHz === null ? [] : [{ limit_percent, power: at_1kHz }]))
    .filter(
      ({ power }, i, all) =>
        i === 0 || power.bound !== all[0]!.power.bound || power.power_W > all[0]!.power.power_W,
    )
    .sort((a, b) => a.limit_percent - b.limit_percent);
  // A level that was kept while nobody looked for the limit is told as such.
  if (powers.every(({ power }) => power.bound !== 'found')) return [];
  const setting = settingOf(ground, { load_ohm, driven });
  return [
    conclude(
      'answer',
      { code: 'power-at', setting, nominal_Hz: MIDDLE_Hz, powers, brief },
      {
        points: powers.flatMap(({ power }) => power.points),
        steps: powers.map(({ power }) => power.step),
      },
    ),
  ];
}

/** Places whose powers differ by less are limited alike: 0.1 dB. */
const AS_LOW = 1.023;

/** What the causes of the run say of the place that decides, or of another that gives as little. */
function limitedBy(ground: ConclusionGround, figures: readonly Conclusion[]): Conclusion[] {
  const deciding = figures.find((one) => one.code === 'full-band-power');
  if (deciding?.code !== 'full-band-power') return [];
  const { setting, limit_percent, power } = deciding;
  const found = here(ground.evidence[ground.limits_percent.indexOf(limit_percent)] ?? [], setting).filter(
    isFound,
  );
  const isDeciding = (channel: number | null, nominal_Hz: number | null) =>
    channel === power.channel && nominal_Hz === power.nominal_Hz;
  const isAsLow = (channel: number | null, nominal_Hz: number | null) =>
    found.some(
      (piece) =>
        piece.channel === channel &&
        piece.nominal_Hz === nominal_Hz &&
        piece.kept_W! <= AS_LOW * power.here_W,
    );
  const causes = findingsOf(ground.record).filter(
    (finding) =>
      finding.quantity === 'cause' &&
      finding.setting.load_ohm === setting.load_ohm &&
      finding.setting.driven.join() === setting.driven.join(),
  );
  const [finding] = [isDeciding, isAsLow].flatMap((fits) =>
    causes.filter((one) => fits(one.setting.channel, one.stimulus.nominal_Hz)),
  );
  const [cause] = (finding?.value ?? []) as readonly Cause[];
  if (!finding || !cause || cause.cause === 'not-clear') return [];
  const { load_ohm, driven } = setting;
  const place = {
    load_ohm,
    driven,
    channel: finding.setting.channel!,
    nominal_Hz: finding.stimulus.nominal_Hz!,
  };
  return [
    conclude(
      'answer',
      { code: 'limited-by', place: placeAt(ground, place), cause: cause.cause },
      { points: finding.points, steps: [finding.setting.step] },
    ),
  ];
}
