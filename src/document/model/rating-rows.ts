import type {
  PowerRatio,
  RatedPower,
  Rating,
  Ratings,
  SettingRating,
} from '../../judgement/rating/rating.js';
import { type Finding, numberOf } from '../../record/finding.js';
import { formatQuantity } from '../../units/format.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import { channelWords } from './wording.js';

/** One distortion limit of one setting. */
export interface RatingRow {
  readonly setting: string;
  readonly limit: string;
  readonly band: RatedPower | null;
  readonly at_1kHz: RatedPower | null;
  readonly conservative_W: number | null;
}

/** Channels by their numbers alone: `1 and 2`. */
const numbers = (driven: readonly number[]): string => channelWords(driven).replace(/^channels? /, '');

const settingName = ({ load_ohm, driven }: Pick<SettingRating, 'load_ohm' | 'driven'>): string =>
  `${formatQuantity(load_ohm, 'ohm')}, ${numbers(driven)} driven`;

/** The ratings of a run, setting by setting and limit by limit; those that say nothing at all are left out. */
export function ratingRows({ settings }: Ratings): RatingRow[] {
  return settings.flatMap((setting) =>
    setting.ratings
      .filter(({ band, at_1kHz }) => band !== null || at_1kHz !== null)
      .map(({ limit_percent, band, at_1kHz, conservative_W }) => ({
        setting: settingName(setting),
        limit: formatQuantity(limit_percent, '%'),
        band,
        at_1kHz,
        conservative_W,
      })),
  );
}

const BOUND_WORDS = { found: '', 'at-least': 'at least ', 'at-most': 'at most ' } as const;

/** `at least 87.7 W ± 0.72 W`. */
export const ratedWords = (rated: RatedPower | null): string =>
  rated === null
    ? '–'
    : `${BOUND_WORDS[rated.bound]}${formatUncertain(rated.power_W, rated.uncertainty_W, 'W')}`;

/** Where a power over the band is decided: `20 Hz, channel 2`. */
export const limitedAtWords = (rated: RatedPower | null): string =>
  rated === null ? '–' : `${frequencyWords(rated.nominal_Hz)}, channel ${rated.channel}`;

/** What a reader must know beside the table: gaps, blindness, knees, ratios. One sentence each. */
export function ratingNotes({ mains_V, settings, by_driven, by_load }: Ratings): string[] {
  return [
    ...(mains_V === null ? [] : [`at ${formatQuantity(mains_V, 'V')} mains, the highest of the run`]),
    ...merged(settings.flatMap(gapNotes)).map(({ heads, text }) => `${heads.join('; ')}: ${text}`),
    ...merged(settings.flatMap(kneeNotes)).map(({ heads, text }) => `${heads.join('; ')}: ${text}`),
    ...[...by_driven, ...by_load].map(ratioWords),
  ];
}

function gapNotes(setting: SettingRating): Note[] {
  return merged(setting.ratings.flatMap((rating) => gapOf(rating))).map(({ heads, text }) => ({
    heads: [`${settingName(setting)}, ${heads.join(' and ')}`],
    text,
  }));
}

/** A sentence with what it is about: limits of a setting, then settings. */
interface Note {
  readonly heads: readonly string[];
  readonly text: string;
}

function gapOf({ limit_percent, band, at_1kHz, untried }: Rating): Note[] {
  const heads = [formatQuantity(limit_percent, '%')];
  const gaps = band === null && untried.length > 0 ? [`no rating over the band: ${untried.join('; ')}`] : [];
  const blind =
    band?.blind || (band === null && at_1kHz?.blind)
      ? ['harmonics lie outside the measuring band, so distortion may be higher than read']
      : [];
  const changed =
    band?.changed || (band === null && at_1kHz?.changed)
      ? ['it rests on readings that did not repeat: something had changed']
      : [];
  return [...gaps, ...blind, ...changed].map((text) => ({ heads, text }));
}

/** The same sentence about several limits, or several settings, is said once. */
function merged(notes: readonly Note[]): Note[] {
  return [...new Set(notes.map(({ text }) => text))].map((text) => ({
    text,
    heads: notes.filter((note) => note.text === text).flatMap(({ heads }) => heads),
  }));
}

function kneeNotes(setting: SettingRating): Note[] {
  return setting.knee === null ? [] : [{ heads: [settingName(setting)], text: kneeWords(setting.knee) }];
}

function kneeWords(knee: Finding): string {
  const power_W = numberOf(knee);
  const where = `channel ${knee.setting.channel}, ${frequencyWords(knee.stimulus.nominal_Hz ?? knee.stimulus.lines_Hz[0]!)}`;
  return `${power_W === null ? 'no knee' : `knee at ${formatUncertain(power_W, knee.uncertainty, 'W')}`} (${where})`;
}

/** Less than this no figure shows: powers are printed to a thousandth at most. */
const SAME_dB = 0.005;

function ratioWords({ from, to, of, limit_percent, ratio, ratio_dB }: PowerRatio): string {
  const place = `${formatQuantity(limit_percent, '%')}, ${of === 'band' ? 'over the band' : 'at 1 kHz'}`;
  const times =
    Math.abs(ratio_dB) < SAME_dB
      ? 'the same power'
      : `${formatQuantity(ratio, '1', { figures: 3 })} times the power (${ratio_dB < 0 ? '' : '+'}${ratio_dB.toFixed(2)} dB)`;
  const change =
    from.load_ohm === to.load_ohm
      ? `from ${numbers(from.driven)} to ${numbers(to.driven)} driven into ${formatQuantity(to.load_ohm, 'ohm')}`
      : `from ${formatQuantity(from.load_ohm, 'ohm')} to ${formatQuantity(to.load_ohm, 'ohm')} with ${numbers(to.driven)} driven`;
  return `${change}: ${times} at ${place}`;
}
