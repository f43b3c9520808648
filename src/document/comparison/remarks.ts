import { oneLine } from '../text/visible-text.js';
import type { ComparedFigure } from './comparison.js';
import { channelName, figureName, settingName, UNLIKE } from './difference-words.js';
import type { RunFigure } from './run-figure.js';

/** How the differences are to be read. */
export const DIFFERENCE_WORDS =
  'Each run less the first of its row, ± U for 95.45 %. What both runs share, such as the calibration of one bench, cancels. A run gives more only where the difference is larger than U. How much a unit changes from run to run is in no U.';

/** Heading of what only one run has. */
export const ALONE_WORDS = 'Found in one run only';

/** In what the rows of one setting are unlike each other, and why a run found none: each once. */
export function remarksOn(rows: readonly ComparedFigure[]): string[] {
  const unlike = rows.flatMap(({ differences }) =>
    differences.flatMap((one) =>
      one && one.unlike.length > 0 ? [`${UNLIKE} run ${one.run}: ${one.unlike.join('; ')}`] : [],
    ),
  );
  const none = rows.flatMap(({ figures }) =>
    figures.flatMap((figure) =>
      figure.note !== '' && (figure.value === null || figure.incomplete)
        ? [`${figureName(figure)}, run ${figure.run}, ${channelName(figure)}: ${figure.note}`]
        : [],
    ),
  );
  return [...new Set([...unlike, ...none])];
}

/** Settings of figures that no other run has, a line a run and setting. */
export function aloneLines(alone: readonly RunFigure[]): string[] {
  const settings = new Map<string, Set<string>>();
  for (const figure of alone) {
    if (figure.kind === 'ceiling') continue;
    const key = `run ${figure.run}: ${oneLine(settingName(figure), 200)}`;
    settings.set(key, (settings.get(key) ?? new Set()).add(lowered(figureName(figure))));
  }
  const single = new Map<number, number>();
  for (const { kind, run } of alone) if (kind === 'ceiling') single.set(run, (single.get(run) ?? 0) + 1);
  return [
    ...[...settings].map(([key, names]) => `${key}: ${[...names].join(', ')}`),
    ...[...single].map(
      ([run, count]) => `run ${run}: ${count} ${count === 1 ? 'ceiling' : 'ceilings'} at single frequencies`,
    ),
  ];
}

const lowered = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
