import type { Judged } from './judged.js';
import type { Mutant, MutatedFile } from './stryker.js';

/** What became of the mutants of one file. */
export interface Account {
  readonly file: string;
  readonly tried: number;
  /** Survivors that are judged to change nothing that can be seen. */
  readonly equivalent: number;
  /** The others, each as a row for docs/mutants.md. */
  readonly survivors: readonly string[];
}

/** A range of a source, on one line and no longer than a table holds. */
const LONGEST = 90;

export function accountOf({ file, source, mutants }: MutatedFile, judged: Judged): Account {
  const lines = source.split('\n');
  const tried = mutants.filter(({ status }) => status !== 'Ignored');
  const survived = tried.filter(({ status }) => status === 'Survived' || status === 'NoCoverage');
  const rows = survived.map((mutant) => ({
    line: mutant.location.start.line,
    from: short(original(lines, mutant)),
    to: short(mutant.replacement ?? ''),
  }));
  const left = rows.filter(({ from, to }) => !judged(file, from, to));
  return {
    file,
    tried: tried.length,
    equivalent: rows.length - left.length,
    survivors: left.map(
      ({ line, from, to }) => `line ${line}: | ${file} | \`${cell(from)}\` | \`${cell(to)}\` | |`,
    ),
  };
}

function original(lines: readonly string[], { location: { start, end } }: Mutant): string {
  if (start.line === end.line) return lines[start.line - 1]!.slice(start.column - 1, end.column - 1);
  const between = lines.slice(start.line, end.line - 1);
  const [first, last] = [lines[start.line - 1]!, lines[end.line - 1]!];
  return [first.slice(start.column - 1), ...between, last.slice(0, end.column - 1)].join(' ');
}

function short(text: string): string {
  const oneLine = text.replace(/\s+/g, ' ').trim();
  return oneLine.length > LONGEST ? `${oneLine.slice(0, LONGEST)}...` : oneLine;
}

/** A vertical bar would end the cell of a table. */
const cell = (text: string) => text.replaceAll('|', '\\|');

/** What became of one file, with a row for each survivor. */
export const accountWords = ({ file, tried, equivalent, survivors }: Account): string =>
  [`${file}: ${tried} tried, ${equivalent} equivalent, ${survivors.length} survived`, ...survivors].join(
    '\n',
  );

/** Everything that survived once more, and the sum. */
export function summary(accounts: readonly Account[]): string {
  const sum = (of: (account: Account) => number) => accounts.reduce((total, one) => total + of(one), 0);
  const [tried, equivalent] = [sum((one) => one.tried), sum((one) => one.equivalent)];
  const left = accounts.flatMap(({ survivors }) => survivors);
  const share = tried > equivalent ? (100 * left.length) / (tried - equivalent) : 0;
  return [
    ...left,
    `${tried} mutants in ${accounts.length} files, ${equivalent} judged equivalent, ${left.length} survived (${share.toFixed(1)} %)`,
  ].join('\n');
}
