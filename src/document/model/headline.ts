import type { BandResult, PowerAtThdn } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { nameIfSeveral, tellingBand } from '../chart/telling-band.js';
import { oneLine } from '../text/visible-text.js';
import { capital } from './capital.js';
import { ceilingWords } from './ceiling-headline.js';
import { channelWords, drivenWords } from './wording.js';

const NONE = 'no power found';
/** At most this many climbs are put into the sentence; the table holds them all. */
const MOST_CLIMBS = 3;

/**
 * What the unit delivered, in one sentence: the least ceiling over the band where it was searched, else the least power of any channel at each marked THD+N, the load,
 * the channels driven, and what happened across the band.
 */
export function headline(record: RunRecord): string {
  const marks = record.results.filter((result) => result.kind === 'power-at-thdn');
  const bands = tellingBand(record);
  const sweep = nameIfSeveral(record, bands);
  const climbs = withoutEchoes(bySetting(marks).map(climbWords));
  const band = ceilingWords(record);
  if (band.sentences.length > 0) return bandFirst(band, climbs.length);
  const told = climbs.slice(0, MOST_CLIMBS);
  const sentences = [...told, ...(bands.length > 0 ? [bandWords(bands, sweep, marks)] : [])];
  if (sentences.length === 0) return nothingFound(record);
  const more = climbs.length > told.length ? ` (and ${climbs.length - told.length} more climbs below)` : '';
  const verb = climbs[0] === undefined || climbs[0].startsWith(NONE) ? '' : 'delivers ';
  return `${capital(verb + sentences.join('; '))}${more}.`;
}

/** Climbs that all end below a threshold, as those of a repair check do, say that but once. */
function withoutEchoes(climbs: readonly string[]): string[] {
  return climbs.filter((words, at) => !words.startsWith(NONE) || climbs.indexOf(words) === at);
}

/** Where the whole band was searched, its least power is what the unit delivers; figures at 1 kHz stand below. */
function bandFirst({ sentences, more }: ReturnType<typeof ceilingWords>, climbs: number): string {
  const verb = sentences[0]!.startsWith(NONE) ? '' : 'delivers ';
  const settings = more > 0 ? `${more} more ${more === 1 ? 'setting' : 'settings'}` : '';
  const figures = climbs > 0 ? 'the figures at one frequency' : '';
  const below = [settings, figures].filter((text) => text !== '').join(' and ');
  return `${capital(verb + sentences.join('; '))}${below === '' ? '' : ` (${below} below)`}.`;
}

function nothingFound(record: RunRecord): string {
  return record.readings.length === 0
    ? 'Nothing was measured.'
    : `No result was reached; ${record.points.length} ${record.points.length === 1 ? 'point was' : 'points were'} measured.`;
}

function bySetting<R extends PowerAtThdn | BandResult>(results: readonly R[]): R[][] {
  const groups = new Map<string, R[]>();
  for (const result of results) {
    const key = JSON.stringify([result.step, result.load_ohm, result.driven]);
    const group = groups.get(key);
    if (group) group.push(result);
    else groups.set(key, [result]);
  }
  return [...groups.values()];
}

/** `87.7 W at 0.1 % and 93.2 W at 1 % THD+N per channel into 8 ohm at 1 kHz, channels 1 and 2 driven`. */
function climbWords(marks: readonly PowerAtThdn[]): string {
  const thresholds = [...new Set(marks.map((mark) => mark.threshold_percent))];
  const figures = thresholds.map((percent) =>
    markWords(
      percent,
      marks.filter((mark) => mark.threshold_percent === percent),
    ),
  );
  const { load_ohm, driven, frequency_Hz } = marks[0]!;
  const each = driven.length > 1 ? ' per channel' : '';
  const [load, frequency] = [formatQuantity(load_ohm, 'ohm'), formatQuantity(frequency_Hz, 'Hz')];
  return `${figures.join(' and ')} THD+N${each} into ${load} at ${frequency}, ${drivenWords(driven)}`;
}

function markWords(percent: number, marks: readonly PowerAtThdn[]): string {
  const powers = marks.map((mark) => mark.power_W).filter((power_W) => power_W !== null);
  const at = `at ${formatQuantity(percent, '%')}`;
  if (powers.length === 0) return `${NONE} ${at}`;
  const missing = marks.filter((mark) => mark.power_W === null).map((mark) => mark.channel);
  const gap = missing.length > 0 ? ` (none found on ${channelWords(missing)})` : '';
  return `${formatQuantity(Math.min(...powers), 'W')} ${at}${gap}`;
}

function bandWords(bands: readonly BandResult[], sweep: string, marks: readonly PowerAtThdn[]): string {
  const weakest = bands.reduce((worst, band) => (band.least_power_W < worst.least_power_W ? band : worst));
  const dirtiest = bands.reduce((worst, band) =>
    band.most_thdn_percent > worst.most_thdn_percent ? band : worst,
  );
  const has = (flag: BandResult['flags'][number]) => bands.some((band) => band.flags.includes(flag));
  const low = formatQuantity(Math.min(...bands.map((band) => band.low_Hz)), 'Hz', { figures: 3 });
  const high = formatQuantity(Math.max(...bands.map((band) => band.high_Hz)), 'Hz', { figures: 3 });
  const power = formatQuantity(weakest.least_power_W, 'W');
  const level = has('power-not-reached')
    ? `the level falls to ${power} at ${formatQuantity(weakest.least_power_Hz, 'Hz', { figures: 3 })} with THD+N up`
    : `the ${farBelow(weakest.least_power_W, marks) ? 'lower level asked for' : 'power'} is kept (${power} or more) while THD+N comes`;
  const blind = has('harmonics-out-of-band') ? ', the treble not judged: its harmonics lie out of band' : '';
  const thdn = formatQuantity(dirtiest.most_thdn_percent, '%');
  const at = formatQuantity(dirtiest.most_thdn_Hz, 'Hz', { figures: 3 });
  const named = sweep === '' ? '' : `in sweep ${oneLine(sweep, 40)}, `;
  const { driven } = bands[0]!;
  const climbed = marks[0]?.driven ?? [];
  const who = climbed.length === 0 || climbed.join() === driven.join() ? '' : ` with ${drivenWords(driven)}`;
  return `${named}from ${low} to ${high}${who} ${level} to ${thdn} at ${at}${blind}`;
}

/** Whether a power is so much less than what was found that the sweep must have been meant to stay below it. */
function farBelow(power_W: number, marks: readonly PowerAtThdn[]): boolean {
  const found_W = marks.map((mark) => mark.power_W).filter((found) => found !== null);
  return found_W.length > 0 && power_W < Math.min(...found_W) / 2;
}
