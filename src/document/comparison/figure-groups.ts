import type { ComparedFigure } from './comparison.js';
import { settingName } from './difference-words.js';

/** Rows that share a setting, under one heading. */
export interface FigureGroup {
  readonly heading: string;
  readonly rows: readonly ComparedFigure[];
}

/** Rows by setting, in the order of the first run. The single ceilings of a band stand apart from all others. */
export function figureGroups(compared: readonly ComparedFigure[]): FigureGroup[] {
  const groups = new Map<string, ComparedFigure[]>();
  for (const row of compared) {
    const heading = settingName(row.figures[0]!);
    const list = groups.get(heading);
    if (list) list.push(row);
    else groups.set(heading, [row]);
  }
  return [...groups].map(([heading, rows]) => ({ heading, rows }));
}

/** All rows but the ceilings at single frequencies, which are many. */
export const summaryRows = (compared: readonly ComparedFigure[]): ComparedFigure[] =>
  compared.filter(({ figures }) => figures[0]!.kind !== 'ceiling');

/** The ceilings at single frequencies, one list a channel of a setting, by rising frequency. */
export function ceilingRows(compared: readonly ComparedFigure[]): ComparedFigure[][] {
  const lists = new Map<string, ComparedFigure[]>();
  for (const row of compared) {
    const { kind, threshold_percent, load_ohm, driven, mains_V, channel } = row.figures[0]!;
    if (kind !== 'ceiling') continue;
    const key = JSON.stringify([threshold_percent, load_ohm, driven, mains_V, channel]);
    const list = lists.get(key);
    if (list) list.push(row);
    else lists.set(key, [row]);
  }
  return [...lists.values()].map((rows) =>
    rows.toSorted((a, b) => a.figures[0]!.band_Hz[0] - b.figures[0]!.band_Hz[0]),
  );
}
