import Table from 'cli-table3';
import { visibleText } from './visible-text.js';
import { wrapText } from './wrap-text.js';

const FRAMELESS = {
  top: '',
  'top-mid': '',
  'top-left': '',
  'top-right': '',
  bottom: '',
  'bottom-mid': '',
  'bottom-left': '',
  'bottom-right': '',
  left: '',
  'left-mid': '',
  mid: '',
  'mid-mid': '',
  right: '',
  'right-mid': '',
  middle: '  ',
} as const;

/** No column is squeezed below this. */
const NARROWEST = 8;
const GAP = FRAMELESS.middle.length;

/**
 * Words and figures in columns, without a frame: it reads the same on screen, on paper and in a pipe.
 *
 * @param right numbers of the columns (from 0) whose cells stand at the right, as figures do.
 * @param width columns of the terminal to stay within, by breaking the cells of the widest columns; no limit when left out.
 */
export function textTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
  width = Number.POSITIVE_INFINITY,
): string {
  const visible = rows.map((row) => row.map((cell) => visibleText(cell)));
  const widths = fittedWidths([head, ...visible], width);
  const fitted = (row: readonly string[]) => row.map((cell, i) => fittedCell(cell, widths[i]!));
  const table = new Table({
    head: fitted(head),
    chars: FRAMELESS,
    style: { head: [], border: [], 'padding-left': 0, 'padding-right': 0 },
    colAligns: head.map((_, i) => (right.includes(i) ? 'right' : 'left')),
  });
  for (const row of visible) table.push(fitted(row));
  return table
    .toString()
    .split('\n')
    .map((line) => line.trimEnd())
    .join('\n');
}

/** Takes from the widest column, character by character, until all of them fit. */
function fittedWidths(rows: readonly (readonly string[])[], width: number): number[] {
  const widths = rows[0]!.map((_, i) => Math.max(...rows.map((row) => longestLine(row[i] ?? ''))));
  const most = width - GAP * (widths.length - 1);
  while (widths.reduce((sum, one) => sum + one, 0) > most) {
    const widest = widths.indexOf(Math.max(...widths));
    if (widths[widest]! <= NARROWEST) break;
    widths[widest]! -= 1;
  }
  return widths;
}

const longestLine = (cell: string) => Math.max(...cell.split('\n').map((line) => line.length));

/** Broken between words, and inside of one that is too long by itself. */
function fittedCell(cell: string, width: number): string {
  if (longestLine(cell) <= width) return cell;
  return wrapText(cell, width)
    .split('\n')
    .flatMap((line) => line.match(new RegExp(`.{1,${width}}`, 'gu')) ?? [''])
    .join('\n');
}
