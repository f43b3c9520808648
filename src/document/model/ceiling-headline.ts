import { untried } from '../../judgement/coverage.js';
import type { CeilingResult } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import {
  type CeilingGroup,
  ceilingGroups,
  hasPower,
  leastCeiling,
  withoutCeiling,
} from './ceiling-groups.js';
import { channelWords, drivenWords } from './wording.js';

/** At most this many settings are put into the sentence; the table holds them all. */
const MOST_SETTINGS = 3;

/** The settings that say most come first: those with all channels driven, at the strictest threshold. */
export function tellingCeilings(record: RunRecord): CeilingGroup[] {
  const groups = ceilingGroups(record).filter(({ channels }) => channels.size > 0);
  const most = Math.max(0, ...groups.map(({ driven }) => driven.length));
  return groups.filter(({ driven }) => driven.length === most);
}

/**
 * `87.1 W from 20 Hz to 20 kHz at 0.1 % THD+N per channel into 8 ohm, channels 1 and 2 driven (least at 20 Hz on channel 2)`,
 * one for each setting with most channels driven.
 */
export function ceilingWords(record: RunRecord): { readonly sentences: string[]; readonly more: number } {
  const telling = tellingCeilings(record);
  const all = ceilingGroups(record).length;
  const sentences = telling.slice(0, MOST_SETTINGS).map((group) => settingSentence(record, group));
  return { sentences, more: all - sentences.length };
}

function settingSentence(record: RunRecord, group: CeilingGroup): string {
  const { threshold_percent, load_ohm, driven, nominals_Hz, mains_V } = group;
  const least = leastCeiling(group);
  const short = (frequency_Hz: number) => formatQuantity(frequency_Hz, 'Hz', { figures: 3, trim: true });
  const [low, high] = [short(nominals_Hz[0]!), short(nominals_Hz.at(-1)!)];
  const span = [nominals_Hz[0]!, nominals_Hz.at(-1)!] as const;
  // A few frequencies are not the band: what lies between them was not looked at.
  const sparse = untried(nominals_Hz, span).length > 0 ? `at ${nominals_Hz.length} frequencies ` : '';
  const over = low === high ? `at ${low}` : `${sparse}from ${low} to ${high}`;
  const each = driven.length > 1 ? ' per channel' : '';
  const all =
    driven.length > 1 && driven.length === channelsOf(record) ? allWords(driven.length) : drivenWords(driven);
  const mains =
    mains_V === null ? '' : ` at ${formatQuantity(mains_V, 'V', { figures: 3, trim: true })} mains`;
  const setting = `${over} at ${formatQuantity(threshold_percent, '%')} THD+N${each} into ${formatQuantity(load_ohm, 'ohm')}, ${all}${mains}`;
  if (!least) return `no power found ${setting}`;
  const on = group.channels.size > 1 ? ` on channel ${least.channel}` : '';
  const where =
    low === high ? on.replace(/^ on/, ', least on') : ` (least at ${short(least.nominal_Hz)}${on})`;
  return `${formatQuantity(least.power_W, 'W')} ${setting}${where}${gapWords(group)}${blindWords(group)}`;
}

const allWords = (count: number): string =>
  count === 2 ? 'both channels driven' : `all ${count} channels driven`;

/** A figure for the band must not hide where there is none: `; none found at 15 kHz and 20 kHz on channel 2`. */
function gapWords(group: CeilingGroup): string {
  const none = withoutCeiling(group);
  if (none.length === 0) return '';
  const found = [...group.channels.values()].flat().some(hasPower);
  if (!found) return '';
  const at = [...new Set(none.map(({ nominal_Hz }) => nominal_Hz))].sort((a, b) => a - b);
  const places =
    at.length > 3
      ? `${at.length} of ${group.nominals_Hz.length} frequencies`
      : at.map((hz) => formatQuantity(hz, 'Hz', { figures: 3, trim: true })).join(', ');
  return `, none found at ${places} on ${channelWords(channelsWith(none))}`;
}

/** Where harmonics lie outside the band, THD+N reads too low, and a ceiling too high. */
function blindWords({ channels }: CeilingGroup): string {
  const blind = [...channels.values()]
    .flat()
    .some(({ power_W, flags }) => power_W !== null && flags.includes('harmonics-out-of-band'));
  return blind ? ', the treble not judged in full: harmonics of it lie out of band' : '';
}

const channelsWith = (results: readonly CeilingResult[]): number[] =>
  [...new Set(results.map(({ channel }) => channel))].sort((a, b) => a - b);

/** Channels that any point of the run drove. */
function channelsOf({ points }: RunRecord): number {
  return new Set(points.flatMap(({ driven }) => driven)).size;
}
