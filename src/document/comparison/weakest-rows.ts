import type { ComparedFigure } from './comparison.js';

/** With more channels than this only the weakest is spelled out where room is short. */
const MOST_CHANNELS = 2;

/**
 * The rows of one setting as far as a terminal has room for them: all, or with many channels that of the channel which
 * is worst in the first run, figure by figure.
 *
 * @returns with the rows a sentence about those that were left out; empty when none were
 */
export function weakestOf(rows: readonly ComparedFigure[]): {
  readonly shown: readonly ComparedFigure[];
  readonly left: string;
} {
  const channels = new Set(rows.map(({ figures }) => figures[0]!.channel));
  channels.delete(0);
  if (channels.size <= MOST_CHANNELS) return { shown: rows, left: '' };
  const weakest = new Map<string, ComparedFigure>();
  for (const row of rows) {
    const key = kindOf(row);
    const sofar = weakest.get(key);
    if (sofar === undefined || isWorse(row, sofar)) weakest.set(key, row);
  }
  return {
    shown: [...weakest.values()],
    left: `Of ${channels.size} channels that which is worst in the first run; --json and the report have all.`,
  };
}

const kindOf = ({ figures }: ComparedFigure): string =>
  `${figures[0]!.kind} ${figures[0]!.threshold_percent} ${figures[0]!.step}`;

/** A run that found none on a channel is worst there. */
function isWorse(row: ComparedFigure, than: ComparedFigure): boolean {
  const [a, b] = [row.figures[0]!, than.figures[0]!];
  if (a.unit === '%') return (a.value ?? Number.POSITIVE_INFINITY) > (b.value ?? Number.POSITIVE_INFINITY);
  return (a.value ?? 0) < (b.value ?? 0);
}
