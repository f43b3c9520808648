import { oneLine } from '../text/visible-text.js';
import { wrapText } from '../text/wrap-text.js';
import type { ComparedFigure } from './comparison.js';
import {
  changeWords,
  channelName,
  decibelWords,
  figureName,
  figureWords,
  findingWords,
  whereFound,
} from './difference-words.js';
import type { FigureGroup } from './figure-groups.js';
import { remarksOn } from './remarks.js';
import { weakestOf } from './weakest-rows.js';

const GAP = '  ';

/** The rows of one setting: a line that names the figure, then a line a run. */
export function groupText(
  { heading, rows }: FigureGroup,
  width: number,
  bold: (text: string) => string,
): string {
  const { shown, left } = weakestOf(rows);
  const cells = shown.map(rowCells);
  const widths = [0, 1, 2, 3].map((column) => Math.max(...cells.flat().map((line) => line[column]!.length)));
  const lines = shown.flatMap((row, i) => [
    wrapText(rowName(row), width, GAP),
    ...cells[i]!.map((line) => aligned(line, widths, width)),
  ]);
  return [
    bold(wrapText(oneLine(heading, 300), width, GAP)),
    ...[...remarksOn(shown), left]
      .filter((text) => text !== '')
      .map((text) => wrapText(oneLine(text, 400), width, GAP)),
    ...lines,
  ].join('\n');
}

function rowName({ figures }: ComparedFigure): string {
  const where = whereFound(figures);
  const channel = figures[0]!.channel === 0 ? '' : `, ${channelName(figures[0]!)}`;
  return `${figureName(figures[0]!)}${channel}${where === '' ? '' : `: ${where}`}`;
}

function rowCells({ figures, differences }: ComparedFigure): string[][] {
  return figures.map((figure, i) => {
    const own = [`run ${figure.run}`, figureWords(figure)];
    if (i === 0) return [...own, '', '', ''];
    const difference = differences[i - 1]!;
    const change = difference
      ? [changeWords(difference, figure), `${decibelWords(difference)} dB`]
      : ['', ''];
    return [...own, ...change, findingWords(difference, figure.unit)];
  });
}

/** One line where the terminal has room for it, else the finding below. */
function aligned(cells: readonly string[], widths: readonly number[], width: number): string {
  const figures = cells.slice(0, -1).map((cell, i) => cell.padEnd(widths[i]!));
  const finding = cells.at(-1)!;
  const line = `${GAP}${figures.join(GAP)}${GAP}${finding}`.trimEnd();
  if (line.length <= width) return line;
  const above = `${GAP}${figures.join(GAP)}`.trimEnd();
  return `${above}\n${GAP}${' '.repeat(widths[0]!)}${GAP}${finding}`;
}
