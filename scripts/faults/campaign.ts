import { aroundRow } from './around-fault.js';
import { AROUND_FAULTS } from './around-faults.js';
import type { Row } from './row.js';
import { simulatedRow } from './simulated-fault.js';
import { SIMULATED_FAULTS } from './simulated-faults.js';

/** Where faults come about: on the simulated bench, around it, on the path of a real sound server, in a program
 * that streams, in what a single command meets. */
export type Where = 'simulated' | 'around' | 'sound' | 'stream' | 'command';

/** One fault of the campaign, ready to be injected. */
export interface Entry {
  readonly name: string;
  readonly where: Where;
  /** How often in the long form, and in the short one. */
  readonly times: number;
  readonly timesInShort: number;
  inject(times: number, seed: number): Promise<Row>;
}

/** A fault of the simulated bench is spread over moments of a run; the others do the same whenever they come. */
const SIMULATED_TIMES = 8;
/** Of one that is shown with several sequences: a climb and a maximum-power search take much longer. */
const TIMES_BY_TURNS = 6;
const AROUND_TIMES = 3;

/** Every fault that needs neither sound nor a build. */
export const ENTRIES: readonly Entry[] = [
  ...SIMULATED_FAULTS.map((fault) => ({
    name: fault.name,
    where: 'simulated' as const,
    times: fault.sequences ? TIMES_BY_TURNS : SIMULATED_TIMES,
    timesInShort: 1,
    inject: (times: number, seed: number) => simulatedRow(fault, times, seed),
  })),
  ...AROUND_FAULTS.map((fault) => ({
    name: fault.name,
    where: 'around' as const,
    times: AROUND_TIMES,
    timesInShort: 1,
    inject: (times: number, seed: number) => aroundRow(fault, times, seed),
  })),
];

/** Longest time that one fault may take: no fault may eat up the time of the others. */
const BUDGET_s = 100;

/** Injects a fault; one that takes too long is a row that says so. */
export async function rowWithin({ name, times, timesInShort, inject }: Entry, short: boolean, seed: number) {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<Row>((resolve) => {
    timer = setTimeout(() => resolve(broken(name, `not over after ${BUDGET_s} s`)), 1000 * BUDGET_s);
  });
  try {
    return await Promise.race([inject(short ? timesInShort : times, seed), late]);
  } catch (error) {
    return broken(name, error instanceof Error ? error.message : String(error));
  } finally {
    clearTimeout(timer);
  }
}

function broken(name: string, why: string): Row {
  const judged = { committed: 0, kept: 0, lost: 0, flagged: 0, wrong: [] };
  const trial = { silence_ms: null, outcome: 'none', status: null, judged, message: why };
  return { name, words: name, trials: [{ ...trial, misses: [`could not be shown: ${why}`] }], limit: null };
}
