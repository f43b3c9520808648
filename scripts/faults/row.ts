import type { Judged } from './truth.js';

/** From the project's contract: nothing is heard any longer than this after a fault. */
export const LONGEST_ms = 250;

/** What became of one fault that was injected once. */
export interface Trial {
  /** From the fault to the last sample that is not zero; null when the run rightly went on. */
  readonly silence_ms: number | null;
  readonly outcome: string;
  readonly status: number | null;
  readonly judged: Judged;
  /** What the operator is told. */
  readonly message: string;
  /** What is not as it must be; empty when all is well. */
  readonly misses: readonly string[];
}

/** A line of the table: one fault, injected as often as there was time. */
export interface Row {
  readonly name: string;
  readonly words: string;
  readonly trials: readonly Trial[];
  readonly limit: Limit | null;
}

/** What is known to be missed, and why it is: told in the table rather than counted as a miss. */
export interface Limit {
  readonly misses: 'wrong' | 'silence';
  readonly why: string;
}

/** What the contract does not allow, in any trial. */
export function commonMisses(
  trial: Omit<Trial, 'misses'>,
  injected: boolean,
  limit: Limit | null = null,
): string[] {
  const { silence_ms, judged } = trial;
  const misses: (string | false)[] = [
    !injected && 'the fault had no effect, so nothing is shown',
    limit?.misses !== 'silence' &&
      silence_ms !== null &&
      silence_ms > LONGEST_ms &&
      `heard for ${silence_ms.toFixed(0)} ms`,
    judged.lost > 0 && `${judged.lost} committed readings lost`,
    ...(limit?.misses === 'wrong' ? [] : judged.wrong).map((wrong) => `accepted although wrong: ${wrong}`),
  ];
  return misses.filter((miss) => miss !== false);
}
