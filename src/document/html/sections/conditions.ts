import type { Reading, RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { benchKindWords } from '../../model/bench-kind-words.js';
import { bandsOf, DEFINITIONS } from '../../model/definitions.js';
import { drivenWords, outcomeWords, timeWords } from '../../model/wording.js';
import { originWords, permitWords, sessionWords } from '../../text/text-found.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Insert, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { table } from './table.js';

/** All that a figure depends on, and what the figures mean. */
export function conditions(record: RunRecord): Markup {
  const { readings, bench, sequence } = record;
  const rows: (readonly [string, Insert])[] = [
    ['Unit', html`<bdi>${visibleText(record.unit.label)}</bdi>`],
    ['Run', `${record.run}, ${visibleText(outcomeWords(record))}`],
    ['Date', html`${timesOf(record)}`],
    ['Bench', html`<bdi>${visibleText(bench.name)}</bdi> (${visibleText(benchKindWords(bench.kind))})`],
    ['Sequence', html`<bdi>${visibleText(sequence.name)}</bdi>`],
    ['Loads', loadsOf(readings)],
    ['Driven', drivenOf(record)],
    ...mainsOf(record),
    ...courseOf(record),
    ['Sample rate', typeset(formatQuantity(bench.rate_Hz, 'Hz'))],
    ['Measuring band', bandWords(readings)],
    ['Uncertainty', uncertaintyOf(readings)],
    ['Power', DEFINITIONS.power],
    ['THD+N', afterColon(DEFINITIONS.thdn)],
    ['THD', afterColon(DEFINITIONS.thd)],
    ['Knee', afterColon(DEFINITIONS.knee)],
    ['Hardness', afterColon(DEFINITIONS.hardness)],
    ['Made with', `ohmest ${visibleText(record.version)}`],
  ];
  return table('Conditions and definitions', [{ name: 'What' }, { name: 'Value' }], rows);
}

const afterColon = (text: string): string => typeset(text.slice(text.indexOf(':') + 2));

function timesOf({ started, ended }: RunRecord): string {
  const end = ended === null ? 'end not recorded' : timeWords(visibleText(ended));
  return `${timeWords(visibleText(started))} to ${end}`;
}

/** `8 ohm: 7.97 ohm measured on channel 1, …`: the resistance that power was computed with. */
function loadsOf(readings: readonly Reading[]): string {
  if (readings.length === 0) return 'none was used';
  const byLoad = new Map<number, Map<number, Range>>();
  for (const { load_ohm, channel, load_measured_ohm: ohm } of readings) {
    const channels = byLoad.get(load_ohm) ?? new Map<number, Range>();
    const [least, most] = channels.get(channel) ?? [ohm, ohm];
    byLoad.set(load_ohm, channels.set(channel, [Math.min(least, ohm), Math.max(most, ohm)]));
  }
  const words = [...byLoad].map(([load_ohm, channels]) => {
    const measured = [...channels]
      .sort(([a], [b]) => a - b)
      .map(([channel, ohms]) => `${ohmsWords(ohms)} on channel ${channel}`);
    return `${formatQuantity(load_ohm, 'ohm')} nominal, measured ${measured.join(', ')}`;
  });
  return typeset(words.join('; '));
}

type Range = readonly [least: number, most: number];

/** `7.970 ohm`, or `7.970 to 8.012 ohm by warmth`. */
function ohmsWords(range: Range): string {
  const [least, most] = range.map((ohm) => formatQuantity(ohm, 'ohm', { figures: 4 }));
  return least === most ? least! : `${least} to ${most} by warmth`;
}

function drivenOf({ points }: RunRecord): string {
  const sets = new Map(points.map(({ driven }) => [driven.join(), driven]));
  return sets.size === 0 ? 'none' : [...sets.values()].map(drivenWords).join('; ');
}

function mainsOf({ points }: RunRecord): (readonly [string, Insert])[] {
  const set = [...new Set(points.flatMap(({ mains_V }) => (mains_V === null ? [] : [mains_V])))];
  return set.length === 0
    ? []
    : [
        [
          'Mains',
          typeset(set.map((volts) => formatQuantity(volts, 'V', { figures: 3, trim: true })).join(', ')),
        ],
      ];
}

/** Origin, permit and sessions, where a run has them. */
function courseOf({ origin, permit, sessions }: RunRecord): (readonly [string, Insert])[] {
  return [
    ...(origin ? [['Imported', visibleText(originWords(origin))] as const] : []),
    ...(permit ? [['Permit', visibleText(permitWords(permit))] as const] : []),
    ...(sessions.length > 0
      ? [['Resumed', visibleText(sessions.map(sessionWords).join('; '))] as const]
      : []),
  ];
}

function bandWords(readings: readonly Reading[]): string {
  const bands = bandsOf(readings).map(
    ([low, high]) => `${formatQuantity(low, 'Hz')} to ${formatQuantity(high, 'Hz')}`,
  );
  return bands.length === 0 ? 'none' : typeset(bands.join('; '));
}

function uncertaintyOf(readings: readonly Reading[]): string {
  const missing = readings.filter((reading) => reading.uncertainty_W === null).length;
  if (readings.length === 0) return 'none';
  if (missing === 0) return DEFINITIONS.uncertainty;
  return missing === readings.length
    ? 'No uncertainty stated: the bench gives none for some part of the chain'
    : `${DEFINITIONS.uncertainty}; ${missing} of ${readings.length} readings have no uncertainty stated`;
}
