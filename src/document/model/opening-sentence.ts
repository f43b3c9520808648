import type { VerdictClass } from '../../judgement/guard-band.js';
import type { JudgedRun } from '../../judgement/judged-run.js';
import type { RatedPower, Rating, SettingRating } from '../../judgement/ratings.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { headline } from './headline.js';
import { ratedWords } from './rating-rows.js';
import { drivenWords } from './wording.js';

const VERDICTS: Readonly<Record<VerdictClass, (claim: string) => string>> = {
  met: (claim) => `${claim} is met`,
  'not met': (claim) => `${claim} is not met`,
  inconclusive: (claim) => `inconclusive whether ${claim} is met`,
  'not tested': (claim) => `${claim} was not tested`,
};

/**
 * What a reader takes away, in one sentence: the power that the unit can honestly be rated at under the hardest setting
 * of the run, and what became of the claim. A rating over the band goes before one figure at 1 kHz.
 */
export function openingSentence(record: RunRecord, judged: JudgedRun): string {
  const rated = ratingWords(record, judged);
  const claims = claimWords(judged);
  if (rated === null)
    return claims === '' ? headline(record) : `${headline(record).replace(/\.$/, '')}; ${claims}.`;
  return `${rated}${claims === '' ? '' : `; ${claims}`}.`;
}

function ratingWords(record: RunRecord, { ratings, claims }: JudgedRun): string | null {
  const claimed = claims[0]?.verdict.claim ?? null;
  const setting = hardest(ratings.settings, claimed?.load_ohm ?? null);
  const rating = setting && strictest(setting.ratings, claimed?.distortion_percent ?? null);
  if (!setting || !rating) return null;
  const { limit_percent, band, at_1kHz, conservative_W } = rating;
  // Ceilings at a few frequencies are no rating, but a figure at 1 kHz must not hide the lowest of them.
  if (band === null && record.results.some(({ kind }) => kind === 'ceiling')) return null;
  const each = setting.driven.length > 1 ? ' per channel' : '';
  // What was gathered from other steps must not contradict a climb that found nothing.
  if (band === null && climbedInVain(record, setting, limit_percent)) return null;
  const where = `at ${formatQuantity(limit_percent, '%')} THD+N into ${formatQuantity(setting.load_ohm, 'ohm')} with ${allOf(record, setting.driven)}`;
  if (band === null)
    return `Delivers ${ratedWords(at_1kHz!)}${each} at 1 kHz ${where}${blindWords(at_1kHz!)}`;
  const over = `${each} from 20 Hz to 20 kHz ${where}${blindWords(band)}`;
  return conservative_W === null
    ? `Keeps ${ratedWords(band)}${over}`
    : `Honestly rated ${formatQuantity(conservative_W, 'W', { trim: true })}${over} (${ratedWords(band)} at its weakest)`;
}

/** Whether climbs looked for the power at a limit, and no channel had one. */
function climbedInVain({ results }: RunRecord, setting: SettingRating, limit_percent: number): boolean {
  const climbed = results.filter(
    (result) =>
      result.kind === 'power-at-thdn' &&
      result.threshold_percent === limit_percent &&
      result.load_ohm === setting.load_ohm &&
      result.driven.join() === setting.driven.join(),
  );
  return climbed.length > 0 && climbed.every((result) => 'power_W' in result && result.power_W === null);
}

/** A figure that only part of the distortion was seen at must not stand alone. */
const blindWords = ({ blind, changed }: RatedPower): string =>
  `${blind ? ', the treble not judged in full' : ''}${changed ? ', by readings that were not as before' : ''}`;

/** Beside a figure at 1 kHz above the claimed power, a claim over a band that is not met would look like a mistake. */
function overBand(claimed_Hz: readonly [number, number] | null): string {
  if (claimed_Hz === null || claimed_Hz[0] === claimed_Hz[1]) return '';
  const [low, high] = claimed_Hz.map((hertz) => formatQuantity(hertz, 'Hz', { figures: 4, trim: true }));
  return ` from ${low} to ${high}`;
}

/** Most channels driven; of several loads the claimed one, else the highest, which every unit is made for. */
function hardest(settings: readonly SettingRating[], claimed_ohm: number | null): SettingRating | null {
  const telling = settings.filter(({ ratings }) => ratings.some(isTelling));
  const claimed = telling.filter(({ load_ohm }) => load_ohm === claimed_ohm);
  return (claimed.length > 0 ? claimed : telling).reduce<SettingRating | null>(
    (best, one) =>
      best === null ||
      one.driven.length > best.driven.length ||
      (one.driven.length === best.driven.length && one.load_ohm > best.load_ohm)
        ? one
        : best,
    null,
  );
}

const isTelling = ({ band, at_1kHz }: Rating): boolean => band !== null || at_1kHz !== null;

/** The claimed distortion where the run has it; else a limit with a figure over the band, the lowest first. */
function strictest(ratings: readonly Rating[], claimed_percent: number | null): Rating | null {
  const telling = ratings.filter(isTelling).sort((a, b) => a.limit_percent - b.limit_percent);
  return (
    telling.find(({ limit_percent }) => limit_percent === claimed_percent) ??
    telling.find(({ band }) => band !== null && band.bound === 'found') ??
    telling[0] ??
    null
  );
}

function allOf({ points }: RunRecord, driven: readonly number[]): string {
  const all = new Set(points.flatMap((point) => point.driven)).size;
  if (driven.length < 2 || driven.length < all) return drivenWords(driven);
  return driven.length === 2 ? 'both channels driven' : `all ${driven.length} channels driven`;
}

function claimWords({ claims }: JudgedRun): string {
  if (claims.length > 1) {
    const counts = (Object.keys(VERDICTS) as VerdictClass[]).flatMap((state) => {
      const count = claims.filter(({ verdict }) => verdict.verdict === state).length;
      return count === 0 ? [] : [`${count} ${state}`];
    });
    return `of ${claims.length} claims ${counts.join(', ')}`;
  }
  const [only] = claims;
  if (only === undefined) return '';
  const { claim, verdict } = only.verdict;
  return VERDICTS[verdict](
    `the claim of ${formatQuantity(claim.power_W, 'W', { figures: 6, trim: true })}${overBand(claim.frequency_Hz)}`,
  );
}
