import type { Reading, RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { benchKindWords } from './bench-kind-words.js';
import type { Section, TableCell } from './block.js';
import { bandsOf, DEFINITIONS } from './definitions.js';
import { pairs, section } from './make-blocks.js';
import { capital, drivenWords, outcomeWords, timeWords } from './wording.js';

type Row = readonly [name: string, value: TableCell];

/** All that a figure depends on, and what the figures mean. */
export function conditionSection(record: RunRecord): Section[] {
  const { readings, bench, sequence } = record;
  const rows: Row[] = [
    ['Unit', given(record.unit.label)],
    ['Run', `${record.run}, ${outcomeWords(record)}`],
    ['Date', timesOf(record)],
    ['Bench', given(bench.name)],
    ['Kind of bench', benchKindWords(bench.kind)],
    ['Sequence', given(sequence.name)],
    ['Loads', loadsOf(readings)],
    ['Driven', drivenOf(record)],
    ...mainsOf(record),
    ...courseOf(record),
    ['Sample rate', formatQuantity(bench.rate_Hz, 'Hz')],
    ['Measuring band', bandWords(readings)],
    ['Uncertainty', uncertaintyOf(readings)],
    ['Power', DEFINITIONS.power],
    ['THD+N', afterColon(DEFINITIONS.thdn)],
    ['THD', afterColon(DEFINITIONS.thd)],
    ['Knee', afterColon(DEFINITIONS.knee)],
    ['0.1 to 1 % interval', afterColon(DEFINITIONS.hardness)],
    ['Made with', `ohmest ${record.version}`],
  ];
  return [section('conditions', 'Conditions', [pairs('Conditions and definitions', rows)])];
}

const given = (text: string): TableCell => ({ text, given: true });

const afterColon = (text: string): string => capital(text.slice(text.indexOf(':') + 2));

function timesOf({ started, ended }: RunRecord): string {
  const end = ended === null ? 'end not recorded' : timeWords(ended);
  return `${timeWords(started)} to ${end}`;
}

/** `8 ohm: 7.97 ohm measured on channel 1, …`: the resistance that power was computed with. */
function loadsOf(readings: readonly Reading[]): string {
  if (readings.length === 0) return 'none was used';
  const byLoad = new Map<number, Map<number, Range>>();
  for (const { load_ohm, channel, load_measured_ohm: ohm } of readings) {
    const channels = byLoad.get(load_ohm) ?? new Map<number, Range>();
    const [low, high] = channels.get(channel) ?? [ohm, ohm];
    byLoad.set(load_ohm, channels.set(channel, [Math.min(low, ohm), Math.max(high, ohm)]));
  }
  const words = [...byLoad].map(([load_ohm, channels]) => {
    const measured = [...channels]
      .sort(([a], [b]) => a - b)
      .map(([channel, ohms]) => `${ohmsWords(ohms)} on channel ${channel}`);
    return `${formatQuantity(load_ohm, 'ohm')} nominal, measured ${measured.join(', ')}`;
  });
  return words.join('; ');
}

type Range = readonly [low: number, high: number];

/** `7.970 ohm`, or `7.970 ohm to 8.012 ohm by warmth`. */
function ohmsWords(range: Range): string {
  const [low, high] = range.map((ohm) => formatQuantity(ohm, 'ohm', { figures: 4 }));
  return low === high ? low! : `${low} to ${high} by warmth`;
}

function drivenOf({ points }: RunRecord): string {
  const sets = new Map(points.map(({ driven }) => [driven.join(), driven]));
  return sets.size === 0 ? 'none' : [...sets.values()].map(drivenWords).join('; ');
}

function mainsOf({ points }: RunRecord): Row[] {
  const set = [...new Set(points.flatMap(({ mains_V }) => (mains_V === null ? [] : [mains_V])))];
  const words = set.map((volts) => formatQuantity(volts, 'V', { figures: 3, trim: true }));
  return set.length === 0 ? [] : [['Mains', words.join(', ')]];
}

/** Origin, permit and sessions, where a run has them. */
export function courseOf({ origin, permit, sessions }: RunRecord): Row[] {
  return [
    ...(origin ? [['Imported', originWords(origin)] as const] : []),
    ...(permit ? [['Permit', permitWords(permit)] as const] : []),
    ...(sessions.length > 0 ? [['Resumed', sessions.map(sessionWords).join('; ')] as const] : []),
  ];
}

function bandWords(readings: readonly Reading[]): string {
  const bands = bandsOf(readings).map(
    ([low, high]) => `${formatQuantity(low, 'Hz')} to ${formatQuantity(high, 'Hz')}`,
  );
  return bands.length === 0 ? 'none' : bands.join('; ');
}

function uncertaintyOf(readings: readonly Reading[]): string {
  const missing = readings.filter((reading) => reading.uncertainty_W === null).length;
  if (readings.length === 0) return 'none';
  if (missing === 0) return DEFINITIONS.uncertainty;
  return missing === readings.length
    ? 'No uncertainty stated: the bench gives none for some part of the chain'
    : `${DEFINITIONS.uncertainty}; ${missing} of ${readings.length} readings have no uncertainty stated`;
}

/** Where a run came from that was not made into this database. */
const originWords = ({ run, identity, imported }: NonNullable<RunRecord['origin']>): string =>
  `imported on ${dayOf(imported)}; run ${run} in the database that it was made into, identity ${identity.slice(0, 12)}`;

/** Under which permit a run was unattended. */
const permitWords = ({ id, by, signed, expires }: NonNullable<RunRecord['permit']>): string =>
  `unattended under permit ${id}, signed by ${by} on ${dayOf(signed)}, valid until ${dayOf(expires)}`;

/** Where a run was resumed. */
const sessionWords = ({
  number,
  started,
  first_point,
  before,
  permit,
}: RunRecord['sessions'][number]): string =>
  `session ${number} resumed the run at point ${first_point} on ${dayOf(started)}${permit ? ` under permit ${permit}` : ''}; the session before was ${before}`;

const dayOf = (moment: string): string => moment.replace(/^(\S{10})T(\S{5}).*$/, '$1 $2 UTC');
