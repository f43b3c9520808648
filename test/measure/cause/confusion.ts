import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { causeOf } from '../../../src/measure/cause/cause-of.js';
import type { Cause, CauseCode } from '../../../src/measure/cause/question.js';
import { RECIPES, variantsOf } from './population.js';

/** What was said of one unit. */
export interface Said {
  readonly recipe: string;
  readonly truth: readonly CauseCode[];
  readonly causes: readonly Cause[];
}

/** Columns of the table, and the short names that stand for them unit by unit. */
export const COLUMNS: Readonly<Record<CauseCode, string>> = {
  'rail-clipping': 'rails',
  'supply-sag': 'sag',
  'current-limit': 'current',
  'slew-limit': 'slew',
  'output-filter': 'filter',
  crossover: 'crossover',
  protection: 'protection',
  heat: 'heat',
  'not-clear': 'not clear',
};

/** Edges of the bins in which stated confidence is held against how often it was right. */
const BINS = [
  [0, 0.6],
  [0.6, 0.85],
  [0.85, 1],
] as const;

/** Asks about `count` units of every recipe. */
export async function sayAll(count: number, seed: number, careless = false): Promise<Said[]> {
  const said: Said[] = [];
  for (const recipe of Object.keys(RECIPES)) {
    for (const unit of variantsOf(recipe, count, seed, careless)) {
      said.push({ recipe, truth: unit.truth, causes: causeOf(await unit.ask()) });
    }
  }
  return said;
}

/** The first thing said is right: one of the true causes, or `not-clear` of a unit without any. */
export function isRight({ truth, causes }: Said): boolean {
  const first = causes[0]!.cause;
  return truth.length === 0 ? first === 'not-clear' : truth.includes(first);
}

/** Both of two true causes are said before anything else. */
export function bothSaid({ truth, causes }: Said): boolean {
  const said = causes.slice(0, truth.length).map(({ cause }) => cause);
  return truth.every((cause) => said.includes(cause));
}

/** True cause by said cause, as a Markdown table. */
export function confusionTable(all: readonly Said[]): string {
  const codes = Object.keys(COLUMNS) as CauseCode[];
  const rows = Object.keys(RECIPES).map((recipe) => {
    const of = all.filter((said) => said.recipe === recipe);
    const counts = codes.map((code) => of.filter(({ causes }) => causes[0]!.cause === code).length || '');
    const right = of.filter(isRight).length;
    const both = RECIPES[recipe]!.truth.length > 1 ? of.filter(bothSaid).length : '';
    return [recipe, ...counts, `${right} of ${of.length}`, both];
  });
  return table(['true \\ said first', ...Object.values(COLUMNS), 'right', 'both named'], rows);
}

/** What was said first, unit by unit. */
export function unitByUnit(all: readonly Said[]): string {
  const rows = Object.keys(RECIPES).map((recipe) => [
    recipe,
    all
      .filter((said) => said.recipe === recipe)
      .map(({ causes }) => COLUMNS[causes[0]!.cause])
      .join(', '),
  ]);
  return table(['true', 'said first, unit by unit'], rows);
}

/** One bin of stated confidence. */
export interface Bin {
  readonly from: number;
  readonly to: number;
  readonly count: number;
  readonly stated: number;
  readonly right: number;
}

/**
 * How often the first cause was right against what was stated, over units with one cause or none. Abstentions
 * state no cause.
 */
export function calibration(all: readonly Said[]): Bin[] {
  const said = all.filter(({ truth, causes }) => truth.length < 2 && causes[0]!.cause !== 'not-clear');
  return BINS.map(([from, to]) => {
    const within = said.filter(({ causes: [first] }) => first!.confidence >= from && first!.confidence < to);
    const count = within.length;
    return {
      from,
      to,
      count,
      stated: within.reduce((sum, { causes }) => sum + causes[0]!.confidence, 0) / count,
      right: within.filter(isRight).length / count,
    };
  });
}

export function calibrationTable(bins: readonly Bin[]): string {
  const rows = bins.map(({ from, to, count, stated, right }) => [
    `${from} to ${to}`,
    count,
    count === 0 ? '' : stated.toFixed(2),
    count === 0 ? '' : right.toFixed(2),
  ]);
  return table(['confidence', 'units', 'stated, mean', 'right'], rows);
}

/** Changes whenever the population does: its recipes, its questions, its twins. Where a file imports from is none of that. */
export function fingerprint(): string {
  const here = import.meta.dirname;
  const twins = join(here, '../../../benches/twins');
  const files = [
    ...['population.ts', 'vary.ts', 'questions.ts', 'dice.ts', 'cause-stand.ts'].map((name) =>
      join(here, name),
    ),
    ...readdirSync(twins)
      .filter((name) => name.startsWith('cause-'))
      .sort()
      .map((name) => join(twins, name)),
  ];
  const hash = createHash('sha256');
  for (const file of files) {
    const text = readFileSync(file, 'utf8').replaceAll(/^import [^;]*;$/gm, '');
    hash.update(text.replaceAll(/\s+/g, ' '));
  }
  return hash.digest('hex').slice(0, 16);
}

function table(head: readonly string[], rows: readonly (readonly (string | number)[])[]): string {
  const line = (cells: readonly (string | number)[]) => `| ${cells.join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}
