import type { Cause } from '../measure/cause/cause.js';
import type { Finding } from '../record/finding.js';
import { findingsOf } from '../record/findings-of.js';
import type { Conclusion, EndedEarly } from './conclusion.js';
import { conclude, type Ground, placeAt, settingOf } from './conclusion-ground.js';
import { type Evidence, placeOf } from './evidence.js';
import { groupLooks, type Look } from './looks.js';
import { RATING_BAND, type RatedPower, type Ratings, type SettingRating } from './ratings.js';

const MIDDLE_Hz = 1000;

/**
 * How much power: for the hardest setting that tells something first as the answer, for the others beside it. The power of
 * the full band, or why there is none, then that at 1 kHz, and what limits it.
 *
 * @param claimed_ohm the load of a claim, which is then the setting to speak of
 */
export function powerConclusions(
  ground: Ground,
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
  return [...lead, ...others.flat().map((one): Conclusion => ({ ...one, role: 'beside' }))];
}

function settingConclusions(ground: Ground, rated: SettingRating): Conclusion[] {
  const band = fullBand(ground, rated);
  const middle = powerAtMiddle(ground, rated, band.length > 0);
  const ended = middle.length === 0 && band.every(({ code }) => code !== 'full-band-power');
  const levels = levelsKept(ground, rated);
  const figures = [...band, ...middle, ...(ended ? climbsEnded(ground, rated) : [])];
  return [
    ...figures,
    ...limitedBy(ground, figures),
    ...levels.map((one): Conclusion => (figures.length === 0 ? { ...one, role: 'answer' } : one)),
  ];
}

/** At the strictest limit that gives a figure; where a stricter one gives none, why not. */
function fullBand(ground: Ground, { load_ohm, driven, ratings }: SettingRating): Conclusion[] {
  const setting = settingOf(ground, { load_ohm, driven });
  const places = here(ground.evidence[0]!, { load_ohm, driven }).map(({ nominal_Hz }) => nominal_Hz);
  if (new Set(places).size < 2) return [];
  const conclusions: Conclusion[] = [];
  for (const { limit_percent, band, untried, conservative_W } of ratings) {
    if (band === null) {
      const missed = conclusions.length === 0 && hasSearched(ground, { load_ohm, driven }, limit_percent);
      if (missed)
        conclusions.push(
          conclude('answer', { code: 'no-full-band-power', setting, limit_percent, why: untried }),
        );
      continue;
    }
    conclusions.push(
      conclude(
        'answer',
        {
          ...{ code: 'full-band-power', setting, limit_percent, power: band },
          ...{ over_Hz: RATING_BAND, rating_W: conservative_W },
        },
        restingOn(band),
      ),
    );
    break;
  }
  return conclusions;
}

type Here = Pick<Evidence, 'load_ohm' | 'driven'>;

const here = (evidence: readonly Evidence[], { load_ohm, driven }: Here): Evidence[] =>
  evidence.filter((piece) => piece.load_ohm === load_ohm && piece.driven.join() === driven.join());

/** Whether a run looked for the power at a limit at all, so that a missing figure needs a reason. */
const hasSearched = ({ evidence, limits_percent }: Ground, at: Here, limit_percent: number): boolean =>
  here(evidence[limits_percent.indexOf(limit_percent)] ?? [], at).some(({ most_W }) => most_W !== null);

const restingOn = ({ points, step }: RatedPower) => ({ points, steps: [step] });

function powerAtMiddle(
  ground: Ground,
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

/** Why climbs and searches found no power: the channel that got least far, at the loosest limit. */
function climbsEnded(ground: Ground, at: Here): Conclusion[] {
  const loosest = ground.evidence.at(-1)!;
  const pieces = here(loosest, at).filter(({ stepKind }) => stepKind === 'climb' || stepKind === 'max-power');
  const best = groupLooks(pieces, placeOf).map((own) =>
    own.reduce((a, b) => ((b.kept_W ?? 0) > (a.kept_W ?? 0) ? b : a)),
  );
  if (best.length === 0) return [];
  const least = best.reduce((a, b) => ((b.kept_W ?? 0) < (a.kept_W ?? 0) ? b : a));
  const looks = ground.looks.filter(
    ({ point, reading }) => point.step === least.step && reading.channel === least.channel,
  );
  const top = looks.reduce((a, b) => (b.reading.power_W > a.reading.power_W ? b : a));
  const { nominal_Hz, channel, limit_percent } = least;
  return [
    conclude(
      'answer',
      {
        ...{ code: 'climb-ended', setting: settingOf(ground, at), nominal_Hz, channel, limit_percent },
        ...{ delivered_W: least.kept_W ?? top.reading.power_W, percent: top.distortion },
        end: endOf(ground, least, looks),
      },
      { points: [top.point.number], steps: [least.step] },
    ),
  ];
}

/** Interface output this near to full scale is all there is. */
const FULL_SCALE_dB = -0.6;

function endOf({ record }: Ground, { step, channel, kept_W }: Evidence, looks: readonly Look[]): EndedEarly {
  if (kept_W === null) {
    const best = looks.reduce((a, b) => (b.distortion < a.distortion ? b : a));
    return { by: 'never-below', best_percent: best.distortion, best_W: best.reading.power_W };
  }
  const why = findingsOf(record)
    .filter(({ setting }) => setting.step === step && setting.channel === channel)
    .map((finding) => finding.why)
    .find((reason) => reason?.code === 'not-reached');
  if (why?.code === 'not-reached') return why.end;
  const highest_dB = Math.max(...looks.map(({ point }) => point.level_dB));
  return highest_dB >= FULL_SCALE_dB ? { by: 'interface-full-scale' } : { by: 'unknown' };
}

/** Sweeps at one level: how far distortion stays, of the worst channel. */
function levelsKept(ground: Ground, at: Here): Conclusion[] {
  const swept = ground.looks.filter(
    ({ point }) =>
      point.stepKind === 'sweep' &&
      point.load_ohm === at.load_ohm &&
      point.driven.join() === at.driven.join(),
  );
  return groupLooks(swept, ({ point }) => point.step).flatMap((looks): Conclusion[] => {
    const worst = looks.reduce((a, b) => (b.distortion > a.distortion ? b : a));
    const frequencies = looks.map(({ point }) => point.nominal_Hz);
    const lost = looks.some(({ reading }) => reading.flags.includes('power-not-reached'));
    // A sweep at the very limit tells of the limit, which stands elsewhere.
    if (lost || worst.distortion > TELLING_PERCENT || new Set(frequencies).size < 2) return [];
    return [
      conclude(
        'beside',
        {
          ...{ code: 'level-kept', setting: settingOf(ground, at) },
          lowest_W: Math.min(...looks.map(({ reading }) => reading.power_W)),
          ...{ percent: worst.distortion, at_Hz: worst.point.nominal_Hz, channel: worst.reading.channel },
          over_Hz: [Math.min(...frequencies), Math.max(...frequencies)],
          blind: looks.some(({ reading }) => reading.flags.includes('harmonics-out-of-band')),
        },
        { points: [worst.point.number], steps: [worst.point.step] },
      ),
    ];
  });
}

const TELLING_PERCENT = 0.1;

/** What the causes of the run say of the place that decides. */
function limitedBy(ground: Ground, figures: readonly Conclusion[]): Conclusion[] {
  const deciding = figures.find((one) => one.code === 'full-band-power');
  if (deciding?.code !== 'full-band-power') return [];
  const { nominal_Hz, channel } = deciding.power;
  const { setting } = deciding;
  const causes = findingsOf(ground.record).find(
    (finding: Finding) =>
      finding.quantity === 'cause' &&
      finding.setting.channel === channel &&
      finding.stimulus.nominal_Hz === nominal_Hz &&
      finding.setting.load_ohm === setting.load_ohm &&
      finding.setting.driven.join() === setting.driven.join(),
  );
  const [cause] = (causes?.value ?? []) as readonly Cause[];
  if (!causes || !cause || cause.cause === 'not-clear') return [];
  const { load_ohm, driven } = setting;
  return [
    conclude(
      'answer',
      {
        code: 'limited-by',
        place: placeAt(ground, { load_ohm, driven, channel, nominal_Hz }),
        cause: cause.cause,
      },
      { points: causes.points, steps: [causes.setting.step] },
    ),
  ];
}
