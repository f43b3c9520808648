import type { JudgedRun } from '../../judgement/judged-run.js';
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
import type { Section, TableCell } from './block.js';
import { BOUNDS } from './finding-words.js';
import { figures, list, section, table, text } from './make-blocks.js';
import { capital, channelWords } from './wording.js';

/** What the last column of the ratings means. */
const RATING_WORDS =
  'Rating: the highest preferred number (R20) that every channel meets with its guard band at every frequency from 20 Hz to 20 kHz.';

const COLUMNS = ['Load', ...figures('THD+N', '20 Hz to 20 kHz'), 'Limited at', ...figures('1 kHz', 'Rating')];

/** The power that a run gives by itself, at each limit into each load; nothing when it gives none. */
export function ratingSection({ ratings }: JudgedRun): Section[] {
  const rows = ratings.settings.flatMap((setting) =>
    setting.ratings
      .filter(({ band, at_1kHz }) => band !== null || at_1kHz !== null)
      .map(({ limit_percent, band, at_1kHz, conservative_W }): TableCell[] => [
        settingName(setting),
        formatQuantity(limit_percent, '%'),
        ratedCell(band),
        band === null ? '–' : `${frequencyWords(band.nominal_Hz)}, channel ${band.channel}`,
        ratedCell(at_1kHz),
        conservative_W === null
          ? '–'
          : { text: formatQuantity(conservative_W, 'W', { trim: true }), exact: conservative_W },
      ]),
  );
  if (rows.length === 0) return [];
  return [
    section('ratings', 'Ratings', [
      table('Maximum power, weakest channel', COLUMNS, rows),
      ...list(ratingNotes(ratings).map(capital)),
      text(RATING_WORDS, 'small'),
    ]),
  ];
}

/** `at least 87.7 W ± 0.72 W`. */
function ratedCell(rated: RatedPower | null): TableCell {
  if (rated === null) return '–';
  const { bound, power_W, uncertainty_W } = rated;
  return { text: `${BOUNDS[bound]}${formatUncertain(power_W, uncertainty_W, 'W')}`, exact: power_W };
}

/** Channels by their numbers alone: `1 and 2`. */
const numbers = (driven: readonly number[]): string => channelWords(driven).replace(/^channels? /, '');

const settingName = ({ load_ohm, driven }: Pick<SettingRating, 'load_ohm' | 'driven'>): string =>
  `${formatQuantity(load_ohm, 'ohm')}, ${numbers(driven)} driven`;

/** What a reader must know beside the table: gaps, blindness, knees, ratios. One sentence each. */
function ratingNotes({ mains_V, settings, by_driven, by_load }: Ratings): string[] {
  return [
    ...(mains_V === null ? [] : [`at ${formatQuantity(mains_V, 'V')} mains, the highest of the run`]),
    ...[gapNotes, kneeNotes].flatMap((notesOf) =>
      merged(settings.flatMap(notesOf)).map((note) => `${note.heads.join('; ')}: ${note.about}`),
    ),
    ...[...by_driven, ...by_load].map(ratioWords),
  ];
}

function gapNotes(setting: SettingRating): Note[] {
  return merged(setting.ratings.flatMap((rating) => gapOf(rating))).map(({ heads, about }) => ({
    heads: [`${settingName(setting)}, ${heads.join(' and ')}`],
    about,
  }));
}

/** A sentence with what it is about: limits of a setting, then settings. */
interface Note {
  readonly heads: readonly string[];
  readonly about: string;
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
  return [...gaps, ...blind, ...changed].map((about) => ({ heads, about }));
}

/** The same sentence about several limits, or several settings, is said once. */
function merged(notes: readonly Note[]): Note[] {
  return [...new Set(notes.map(({ about }) => about))].map((about) => ({
    about,
    heads: notes.filter((note) => note.about === about).flatMap(({ heads }) => heads),
  }));
}

function kneeNotes(setting: SettingRating): Note[] {
  return setting.knee === null ? [] : [{ heads: [settingName(setting)], about: kneeWords(setting.knee) }];
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
