import type { RunRecord } from '../../record/run-record.js';
import { MATTERS } from './matters.js';

/** One condition of a measurement held side by side over several runs. */
export interface Agreement {
  readonly matter: string;
  readonly state: 'agree' | 'differ';
  /** What each run says, in the order of the runs. */
  readonly values: readonly { readonly run: number; readonly value: string }[];
  /** What follows from it for who compares the figures; empty where the runs agree. */
  readonly effect: string;
  /** Runs whose figures are not like those of the first by this alone: they are marked wherever they stand. */
  readonly unlike: readonly number[];
}

/**
 * In what the protocols of several runs agree and in what they differ, condition by condition, and how each difference
 * matters. The first run is the one that the others are held against.
 */
export function agreement(records: readonly RunRecord[]): Agreement[] {
  const first = records[0];
  if (first === undefined) return [];
  return MATTERS.map(({ matter, value, key = value, effect, makesUnlike }) => {
    const wanted = key(first);
    const others = records.filter((record) => key(record) !== wanted).map(({ run }) => run);
    return {
      matter,
      state: others.length === 0 ? 'agree' : 'differ',
      values: records.map((record) => ({ run: record.run, value: value(record) })),
      effect: others.length === 0 ? '' : effect,
      unlike: makesUnlike ? others : [],
    };
  });
}

/** Why a run is unlike the first as a whole: the matters by name; empty when it is like it. */
export const unlikeMatters = (agreements: readonly Agreement[], run: number): string[] =>
  agreements.filter(({ unlike }) => unlike.includes(run)).map(({ matter }) => matter);
