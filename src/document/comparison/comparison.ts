import { type JudgedClaims, judgeClaims } from '../../judgement/judged-run.js';
import type { RunRecord } from '../../record/run-record.js';
import { type Agreement, agreement, unlikeMatters } from './agreement.js';
import { type Difference, differenceOf } from './difference.js';
import type { RunFigure } from './figures-of-run.js';
import { figuresOfRun } from './figures-of-run.js';
import { matchFigures } from './match-figures.js';

/** A run that is compared, with its verdicts. */
export interface ComparedRun {
  readonly record: RunRecord;
  readonly judged: JudgedClaims;
  /** By which matters it is unlike the first run as a whole; empty when it is like it. */
  readonly unlike: readonly string[];
}

/** One question with the answer of each run that has one, and how the later ones differ from the first of them. */
export interface ComparedFigure {
  readonly figures: readonly RunFigure[];
  /** One for each figure but the first; null where a run looked and found none. */
  readonly differences: readonly (Difference | null)[];
}

/** Several runs side by side. */
export interface Comparison {
  readonly runs: readonly ComparedRun[];
  readonly agreement: readonly Agreement[];
  /** Questions that at least two runs answer. */
  readonly compared: readonly ComparedFigure[];
  /** Figures that only one run has. */
  readonly alone: readonly RunFigure[];
}

/**
 * Holds runs against the first of them.
 *
 * @param claim a claim to judge every run by besides its own; null without
 * @throws DocumentError when that is no claim
 */
export function compareRuns(records: readonly RunRecord[], claim: string | null = null): Comparison {
  const agreements = agreement(records);
  const byRun = new Map(records.map((record) => [record.run, record]));
  const rows = matchFigures(records.map(figuresOfRun));
  const placed = (figure: RunFigure) => ({ record: byRun.get(figure.run)!, figure });
  return {
    runs: records.map((record) => ({
      record,
      judged: judgeClaims(record, claim),
      unlike: unlikeMatters(agreements, record.run),
    })),
    agreement: agreements,
    compared: rows
      .filter((row) => row.length > 1)
      .map((figures) => ({
        figures,
        differences: figures.slice(1).map((figure) => differenceOf(placed(figures[0]!), placed(figure))),
      })),
    alone: rows.flatMap((row) => (row.length === 1 ? row : [])),
  };
}
