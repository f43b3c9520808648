import { DocumentError } from '../../src/schema/document-error.js';
import type { BenchFacts } from '../../src/sequence/bench-facts.js';
import { makePlan, type PlanOptions } from '../../src/sequence/make-plan.js';
import { isWired, type Plan, type WiredStep } from '../../src/sequence/plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { bench, chain, load } from './bench-fixture.js';

export const planOf = (text: string, on: BenchFacts, options?: PlanOptions): Plan =>
  makePlan(readSequence(text, 's.yaml'), on, options);

export const wiredOf = (plan: Plan): WiredStep[] => plan.steps.filter(isWired);

function refusal(text: string, on: BenchFacts, options?: PlanOptions): DocumentError {
  try {
    planOf(text, on, options);
  } catch (error) {
    if (error instanceof DocumentError) return error;
    throw error;
  }
  throw new Error('the sequence was accepted');
}

/** The faults of a sequence, as `line:column: keys: what; what would be right`. */
export const faultsOf = (text: string, on: BenchFacts = bench(2), options?: PlanOptions): string[] =>
  refusal(text, on, options).faults.map(
    ({ line, column, path, what, mend }) => `${line}:${column}: ${path}: ${what}${mend && `; ${mend}`}`,
  );

/** A sequence of the given steps into 8 ohm. */
export const into8 = (...steps: string[]) =>
  `name: t\nload: 8 ohm\nsteps:\n${steps.map((step) => `  - ${step}\n`).join('')}`;

/** A bench with loads of 8 and 4 ohm on every channel; channel n reads through input `inputs[n - 1]`. */
export const bench84 = (inputs: readonly number[]): BenchFacts =>
  bench(inputs.length, {
    channels: inputs.map((input, i) => chain(i + 1, { input, loads: [load(8), load(4)] })),
  });

/** The options of a plan for a claim of so many watts per channel, without a load or into one; none when left out. */
export const claimed = (power_W?: number, load_ohm: number | null = null): PlanOptions =>
  power_W === undefined ? {} : { claims: [{ power_W, load_ohm, note: '' }] };
