import { inputError } from '../../errors/error-table.js';
import type { RunSearch, RunSummary } from '../../record/run-list.js';

/** An address whose query means nothing. */
export const AskedWrongly = inputError('ASKED_WRONGLY', (name: string, value: string, right: string) => ({
  what: `${name} is '${value.slice(0, 60)}'`,
  mend: `It must be ${right}`,
}));

export const OUTCOMES_OFFERED: readonly RunSummary['outcome'][] = [
  'running',
  'completed',
  'stopped',
  'tripped',
  'fault',
  'interrupted',
];

const LONGEST = 200;

/** What a list of runs was asked for: the search, and which page of it, from 1. */
export interface AskedList {
  readonly search: RunSearch;
  readonly page: number;
}

/**
 * Reads the query of a list. What is empty or unknown does not matter.
 *
 * @throws AskedWrongly naming the first value that cannot be meant
 */
export function askedList(query: URLSearchParams): AskedList {
  const text = (name: string) => {
    const value = (query.get(name) ?? '').trim();
    if ([...value].length > LONGEST) throw new AskedWrongly(name, value, `at most ${LONGEST} characters`);
    return value;
  };
  const outcome = text('outcome');
  if (outcome !== '' && !OUTCOMES_OFFERED.some((known) => known === outcome))
    throw new AskedWrongly('outcome', outcome, `one of ${OUTCOMES_OFFERED.join(', ')}`);
  const [from, to] = [day('from', text('from')), day('to', text('to'))];
  if (from !== '' && to !== '' && from > to) throw new AskedWrongly('from', from, `a day not after ${to}`);
  const page = text('page');
  if (page !== '' && !/^[1-9]\d{0,6}$/.test(page)) throw new AskedWrongly('page', page, 'a number from 1');
  const names = { unit: text('unit'), sequence: text('sequence'), bench: text('bench'), text: text('text') };
  const given = Object.entries({ ...names, outcome, from, to }).filter(([, value]) => value !== '');
  return { search: Object.fromEntries(given) as RunSearch, page: page === '' ? 1 : Number(page) };
}

function day(name: string, value: string): string {
  if (value === '') return '';
  const real = /^\d{4}-\d\d-\d\d$/.test(value) && new Date(`${value}T00:00:00Z`);
  const stands = real && !Number.isNaN(real.getTime()) && real.toISOString().startsWith(value);
  if (!stands) throw new AskedWrongly(name, value, 'a day, as in 2026-03-01');
  return value;
}

/** At most so many runs are laid beside each other. */
const MOST_COMPARED = 12;

/**
 * The runs that an address names by `run=1&run=2`, in their order.
 *
 * @throws AskedWrongly when one is no number, when one is named twice, or when there are not two to twelve
 */
export function askedRuns(query: URLSearchParams): number[] {
  const typed = query.getAll('run');
  const numbers = typed.map(askedRun);
  const twice = numbers.find((number, i) => numbers.indexOf(number) !== i);
  if (twice !== undefined) throw new AskedWrongly('run', String(twice), 'each run once');
  if (numbers.length < 2 || numbers.length > MOST_COMPARED)
    throw new AskedWrongly(
      'run',
      typed.join(', ') || 'none',
      `two to ${MOST_COMPARED} runs: tick them in the list`,
    );
  return numbers;
}

/** A run's number out of an address. @throws AskedWrongly */
export function askedRun(typed: string): number {
  if (!/^[1-9]\d{0,14}$/.test(typed)) throw new AskedWrongly('run', typed, 'the number of a run, from 1');
  return Number(typed);
}
