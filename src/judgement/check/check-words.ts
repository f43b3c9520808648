import { formatQuantity } from '../../units/format.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import { groupBy } from '../../units/group-by.js';
import { listed } from '../../units/listed.js';
import type { Unit } from '../../units/quantity.js';
import type { CheckItem, CheckName, CheckState } from './check.js';
import type { DueReadings } from './due-readings.js';

/** What each check is called, and the unit of its figures. */
export const CHECKS: Readonly<Record<CheckName, { readonly name: string; readonly unit: Unit }>> = {
  dc: { name: 'DC at the output', unit: 'V' },
  noise: { name: 'Hum and noise', unit: 'V' },
  residual: { name: 'THD+N at low level', unit: '%' },
  match: { name: 'Gain match', unit: 'dB' },
  power: { name: 'Power reached', unit: 'W' },
};

/** No two gains are compared more closely. */
const LEAST_dB = 0.01;

/** The figure of an item: `6.2 % at 50.0 mW`, or a dash where nothing was read; and which readings are missing beside it. */
export const checkValue = (item: CheckItem): string =>
  `${figureWords(item)}${item.lacks ? `; ${lackWords(item.lacks)}` : ''}`;

/** `reading 2 of 2 is missing` */
const lackWords = ({ missing, of }: DueReadings): string =>
  missing.length === 1
    ? `reading ${missing[0]} of ${of} is missing`
    : `readings ${listed(missing)} of ${of} are missing`;

function figureWords({ check, value, uncertainty, at_W, metered }: CheckItem): string {
  if (value === null) return '–';
  const { unit } = CHECKS[check];
  if (unit === 'dB' && value < LEAST_dB) return `below ${formatQuantity(LEAST_dB, unit)}`;
  const figure =
    unit === 'W' || unit === 'V' ? formatUncertain(value, uncertainty, unit) : formatQuantity(value, unit);
  if (metered) return `${figure} by meter reading`;
  return at_W === null || check === 'match' ? figure : `${figure} at ${formatQuantity(at_W, 'W')}`;
}

/** The limit of an item, by its side: `below 0.5 %`, `at least 5 W`. */
export const checkLimit = ({ check, limit }: CheckItem): string =>
  `${check === 'power' ? 'at least' : 'at most'} ${formatQuantity(limit, CHECKS[check].unit, { trim: true })}`;

const VERBS: Readonly<Record<CheckState, string>> = {
  passed: 'Passed',
  failed: 'Failed',
  inconclusive: 'Inconclusive',
  'not tested': 'Not tested',
};

/** `Failed: channel 2, crossover distortion 6.2 % at 50.0 mW (limit 0.5 %). Not tested: DC at the output.` */
export function checkWords(state: CheckState, items: readonly CheckItem[]): string {
  const told = items.filter((item) => item.state === state);
  const figures =
    state === 'passed'
      ? `: ${[...new Set(told.map(({ check }) => lower(CHECKS[check].name)))].join(', ')}`
      : told.length === 0
        ? ''
        : `: ${told.map(itemWords).join('; ')}`;
  const open = (['inconclusive', 'not tested'] as const).filter((other) => other !== state);
  const rest = open.flatMap((other) => {
    const byCheck = groupBy(
      items.filter((item) => item.state === other),
      ({ check }) => check,
    );
    const names = [...byCheck].map(([check, own]) => `${lower(CHECKS[check].name)}${lacksOf(own)}`);
    return names.length === 0 ? [] : [` ${VERBS[other]}: ${names.join(', ')}.`];
  });
  return `${VERBS[state]}${figures}.${rest.join('')}`;
}

/** ` (channels 1 and 2: reading 2 of 2 is missing)`; nothing where none is known to be. */
function lacksOf(items: readonly CheckItem[]): string {
  const open = items.flatMap(({ channel, lacks }) => (lacks ? [{ channel, words: lackWords(lacks) }] : []));
  const told = [...groupBy(open, ({ words }) => words)].map(([words, own]) => {
    const channels = own.map(({ channel }) => channel);
    return `channel${channels.length > 1 ? 's' : ''} ${listed(channels)}: ${words}`;
  });
  return told.length === 0 ? '' : ` (${told.join('; ')})`;
}

/** Keeps abbreviations as they are. */
const lower = (text: string): string =>
  /^[A-Z]{2}/.test(text) ? text : text.charAt(0).toLowerCase() + text.slice(1);

function itemWords(item: CheckItem): string {
  const what =
    item.check === 'residual' && item.falls ? 'crossover distortion' : lower(CHECKS[item.check].name);
  return `channel ${item.channel}, ${what} ${checkValue(item)} (${checkLimit(item)})`;
}
