import { visibleText } from '../../units/visible-text.js';
import { textWidth } from './text-width.js';
import { wrapText } from './wrap-text.js';

/** A cell of more lines than this leaves a table of gaps: the rows are set one by one instead. */
const MOST_LINES = 4;
/** No column is squeezed below this. */
const NARROWEST = 8;
const GAP = '  ';
const INDENT = '  ';
/** Fewer columns than this read better as names with their values. */
const LEAST_STACKED = 5;

/**
 * Words and figures in columns, without a frame: it reads the same on screen, on paper and in a pipe.
 *
 * @param right numbers of the columns (from 0) whose cells stand at the right, as figures do.
 * @param width columns of the terminal to stay within, by breaking the cells of the widest columns, or by setting row after
 *   row where that would make them tall; no limit when left out.
 */
export function textTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
  width = Number.POSITIVE_INFINITY,
): string {
  const visible = [head, ...rows.map((row) => row.map((cell) => visibleText(cell)))];
  return (
    inColumns(visible, right, width)?.flat().join('\n') ??
    stacked(visible, right, width) ??
    visible
      .slice(1)
      .map((row) => card(head, row, width))
      .join('\n')
  );
}

/** The lines of each row in columns; null where a cell would become too tall. */
function inColumns(
  rows: readonly (readonly string[])[],
  right: readonly number[],
  width: number,
): string[][] | null {
  const widths = fittedWidths(rows, width);
  const table = rows.map((row) => row.map((cell, i) => linesOf(cell, widths[i]!)));
  if (most(table.flatMap((row) => row.map((lines) => lines.length))) > MOST_LINES) return null;
  const columns = rows[0]!.map((_, i) => ({
    width: most(table.map((row) => widest(row[i] ?? []))),
    atRight: right.includes(i),
  }));
  return table.map((row) => linesAcross(row, columns));
}

/** The first cell of each row on a line of its own, above the others in columns. */
function stacked(
  rows: readonly (readonly string[])[],
  right: readonly number[],
  width: number,
): string | null {
  const rest = inColumns(
    rows.map((row) => row.slice(1)),
    right.map((column) => column - 1),
    width - INDENT.length,
  );
  if (rest === null || rows[0]!.length < LEAST_STACKED) return null;
  return rows
    .flatMap(([first = ''], i) => [
      ...brokenAt(wrapText(first.replaceAll('\n', ' '), width, INDENT), width),
      ...rest[i]!.map((line) => `${INDENT}${line}`),
    ])
    .join('\n');
}

/** One row by itself: its first cell, then each other one behind the name of its column; empty cells are left out. */
function card(head: readonly string[], [first = '', ...rest]: readonly string[], width: number): string {
  const lines = rest.flatMap((cell, i) =>
    cell.trim() === '' ? [] : [`  ${head[i + 1]}: ${cell.replaceAll('\n', '; ')}`],
  );
  return [first.replaceAll('\n', ' '), ...lines]
    .flatMap((line, i) => brokenAt(wrapText(line, width, i === 0 ? '  ' : '    '), width))
    .join('\n');
}

interface Column {
  readonly width: number;
  readonly atRight: boolean;
}

/** The lines of one row, as many as its tallest cell has. */
function linesAcross(row: readonly (readonly string[])[], columns: readonly Column[]): string[] {
  return Array.from({ length: Math.max(1, most(row.map((lines) => lines.length))) }, (_, line) =>
    columns
      .map((column, i) => padded(row[i]?.[line] ?? '', column))
      .join(GAP)
      .trimEnd(),
  );
}

function padded(text: string, { width, atRight }: Column): string {
  const space = ' '.repeat(width - textWidth(text));
  return atRight ? space + text : text + space;
}

/**
 * Takes from the widest column, character by character, until all of them fit: first as far as no word is broken,
 * and only when that is not enough also inside of words.
 */
function fittedWidths(rows: readonly (readonly string[])[], width: number): number[] {
  const columns = rows[0]!.map((_, i) => rows.map((row) => row[i] ?? ''));
  const widths = columns.map((cells) => most(cells.map(longestLine)));
  const room = width - GAP.length * (widths.length - 1);
  if (widths.reduce((sum, one) => sum + one, 0) <= room) return widths;
  narrow(
    widths,
    columns.map((cells) => Math.max(NARROWEST, most(cells.map(longestWord)))),
    room,
  );
  narrow(
    widths,
    widths.map(() => NARROWEST),
    room,
  );
  return widths;
}

/** Makes the widest column that is still wider than its least narrower by one, again and again. */
function narrow(widths: number[], least: readonly number[], room: number): void {
  for (let over = widths.reduce((sum, one) => sum + one, 0) - room; over > 0; over -= 1) {
    const free = widths.map((one, i) => (one > least[i]! ? one : 0));
    const widest = free.indexOf(most(free));
    if (free[widest] === 0) return;
    widths[widest]! -= 1;
  }
}

const most = (values: readonly number[]): number => values.reduce((a, b) => Math.max(a, b), 0);

/** A quantity counts as one word: it is not broken. */
const longestWord = (cell: string): number => most(wrapText(cell, 1).split('\n').map(longestLine));

const longestLine = (cell: string): number => most(cell.split('\n').map((line) => line.length));

/** Columns of the screen that lines take. */
const widest = (lines: readonly string[]): number => most(lines.map(textWidth));

/** Lines of a cell, broken between words, and inside of one that is too long by itself. */
function linesOf(cell: string, width: number): string[] {
  const lines = cell.split('\n');
  if (longestLine(cell) <= width) return lines;
  return brokenAt(wrapText(cell, width), width);
}

const brokenAt = (text: string, width: number): string[] =>
  text.split('\n').flatMap((line) => line.match(new RegExp(`.{1,${width}}`, 'gu')) ?? ['']);
