import { formatQuantity } from '../../units/format.js';
import { drivenWords } from '../model/wording.js';
import type { ComparedFigure } from './comparison.js';
import type { Difference } from './difference.js';
import { decibelWords } from './difference-words.js';

/**
 * What the ceilings of one channel say over the band, in a sentence a run: at how many frequencies they differ beyond
 * uncertainty, and where most.
 */
export function ceilingsInShort(rows: readonly ComparedFigure[]): string[] {
  const { threshold_percent, load_ohm, driven, channel } = rows[0]!.figures[0]!;
  const setting = `Channel ${channel}, ${formatQuantity(threshold_percent!, '%')} THD+N, ${formatQuantity(load_ohm, 'ohm')}, ${drivenWords(driven)}`;
  const runs = [...new Set(rows.flatMap(({ figures }) => figures.slice(1).map(({ run }) => run)))];
  return runs.map((run) => `${setting}: ${sentence(rows, run)}`);
}

function sentence(rows: readonly ComparedFigure[], run: number): string {
  const found = rows.flatMap(({ figures, differences }) =>
    differences.flatMap((one) => (one?.run === run ? [{ one, nominal_Hz: figures[0]!.band_Hz[0] }] : [])),
  );
  if (found.length === 0) return `run ${run} has no ceiling where another run has one.`;
  const count = (finding: Difference['finding']) => found.filter(({ one }) => one.finding === finding).length;
  const most = found.reduce((a, b) =>
    Math.abs(b.one.difference_dB) > Math.abs(a.one.difference_dB) ? b : a,
  );
  const { to } = found[0]!.one;
  const told = [
    [count('alike'), 'alike within uncertainty'],
    [count('more'), `where run ${run} gives more`],
    [count('less'), `where run ${to} gives more`],
    [count('not told'), 'without an uncertainty'],
  ] as const;
  const parts = told.flatMap(([number, words]) => (number > 0 ? [`${number} ${words}`] : []));
  const at = formatQuantity(most.nominal_Hz, 'Hz', { figures: 3, trim: true });
  return `of ${found.length} frequencies ${parts.join(', ')}; most at ${at}: run ${run} ${decibelWords(most.one)} dB to run ${to}.`;
}
