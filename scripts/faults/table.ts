import type { Row, Trial } from './row.js';

const HEAD = [
  'fault',
  'times',
  'silent after, at worst',
  'outcome, exit status',
  'readings committed',
  'kept',
  'lost',
  'flagged',
  'wrong, and no flag',
  'what is said',
];

/** The rows as a Markdown table, with what is known to be missed below it. */
export function faultTable(rows: readonly Row[]): string {
  const lines = rows.map((row) => cellsOf(row).map(plain));
  const table = [HEAD, HEAD.map(() => '---'), ...lines].map((line) => `| ${line.join(' | ')} |`);
  const notes = rows.flatMap(({ words, limit }) => (limit ? [`- ${words}: ${limit.why}.`] : []));
  return [...table, ...(notes.length > 0 ? ['', ...notes] : [])].join('\n');
}

function cellsOf({ words, trials, limit }: Row): string[] {
  const sum = (count: (trial: Trial) => number) =>
    String(trials.reduce((total, trial) => total + count(trial), 0));
  const silences = trials.flatMap(({ silence_ms }) => (silence_ms === null ? [] : [silence_ms]));
  const ends = trials.map(({ outcome, status }) => `${outcome}, ${status ?? 'none'}`);
  return [
    limit ? `${words} (see below)` : words,
    String(trials.length),
    silences.length > 0 ? `${Math.max(0, ...silences).toFixed(0)} ms` : 'continued',
    [...new Set(ends)].join('; '),
    sum(({ judged }) => judged.committed),
    sum(({ judged }) => judged.kept),
    sum(({ judged }) => judged.lost),
    sum(({ judged }) => judged.flagged),
    sum(({ judged }) => judged.wrong.length),
    trials.at(-1)?.message ?? '',
  ];
}

/** One line, nothing that a table would stumble over, nothing that tells of the machine. */
const plain = (text: string): string =>
  text
    .replaceAll(/\/\S*?ohmest-faults-\w+\//g, '')
    .replace(/^ohmest: /, '')
    .replaceAll(/\s+/g, ' ')
    .replaceAll('|', '\\|')
    .trim();
