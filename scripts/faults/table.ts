import type { Row, Trial } from './row.js';

/** A column: its head, and what it tells of a fault. */
type Column = readonly [head: string, tells: (row: Row) => string];

const sum =
  (count: (trial: Trial) => number) =>
  ({ trials }: Row) =>
    String(trials.reduce((total, trial) => total + count(trial), 0));

const FAULT: Column = ['fault', ({ words, limit }) => (limit ? `${words} (see below)` : words)];
const TIMES: Column = ['times', ({ trials }) => String(trials.length)];
const SAID: Column = ['what is said', ({ trials }) => trials.at(-1)?.message ?? ''];

const OF_RUNS: readonly Column[] = [
  FAULT,
  TIMES,
  ['silent after, at worst', silence],
  [
    'outcome, exit status',
    ({ trials }) => each(trials, ({ outcome, status }) => `${outcome}, ${status ?? 'none'}`),
  ],
  ['readings committed', sum(({ judged }) => judged.committed)],
  ['kept', sum(({ judged }) => judged.kept)],
  ['lost', sum(({ judged }) => judged.lost)],
  ['flagged', sum(({ judged }) => judged.flagged)],
  ['wrong, and no flag', sum(({ judged }) => judged.wrong.length)],
  SAID,
];

/** Of what a single command meets: no tone plays that would have to fall silent. */
const OF_COMMANDS: readonly Column[] = [
  FAULT,
  TIMES,
  ['exit status', ({ trials }) => each(trials, ({ status }) => String(status ?? 'none'))],
  SAID,
];

/** The rows as a Markdown table, with what is known to be missed below it. */
export function faultTable(rows: readonly Row[], of: 'runs' | 'commands' = 'runs'): string {
  const columns = of === 'runs' ? OF_RUNS : OF_COMMANDS;
  const lines = rows.map((row) => columns.map(([, tells]) => plain(tells(row))));
  const heads = columns.map(([head]) => head);
  const table = [heads, heads.map(() => '---'), ...lines].map((line) => `| ${line.join(' | ')} |`);
  const notes = rows.flatMap(({ words, limit }) => (limit ? [`- ${words}: ${limit.why}.`] : []));
  return [...table, ...(notes.length > 0 ? ['', ...notes] : [])].join('\n');
}

function silence({ trials }: Row): string {
  const silences = trials.flatMap(({ silence_ms }) => (silence_ms === null ? [] : [silence_ms]));
  return silences.length > 0 ? `${Math.max(0, ...silences).toFixed(0)} ms` : 'continued';
}

const each = (trials: readonly Trial[], tell: (trial: Trial) => string): string =>
  [...new Set(trials.map(tell))].join('; ');

/** One line, nothing that a table would stumble over, nothing that tells of the machine. */
const plain = (text: string): string =>
  text
    .replaceAll(/\/\S*?ohmest-faults-\w+\//g, '')
    .replace(/^ohmest: /, '')
    .replaceAll(/\s+/g, ' ')
    .replaceAll('|', '\\|')
    .trim();
