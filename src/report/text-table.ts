import Table from 'cli-table3';
import stringWidth from 'string-width';
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
  const layout: Layout = { widths: columnWidths([head, ...visible].map(fitted)), right };
  const stretches = Array.from({ length: Math.max(1, Math.ceil(rows.length / STRETCH)) }, (_, i) =>
    visible.slice(i * STRETCH, (i + 1) * STRETCH).map(fitted),
  );
  return stretches
    .map((stretch, i) => drawn(layout, i === 0 ? fitted(head) : null, stretch))
    .join('\n')
    .split('\n')
    .map((line) => line.trimEnd())
    .join('\n');
}

/** The table library compares every row with every other: so many at a time stay quick. */
const STRETCH = 20;

interface Layout {
  readonly widths: readonly number[];
  readonly right: readonly number[];
}

function drawn({ widths, right }: Layout, head: readonly string[] | null, rows: readonly string[][]): string {
  const table = new Table({
    ...(head === null ? {} : { head: [...head] }),
    chars: FRAMELESS,
    style: { head: [], border: [], 'padding-left': 0, 'padding-right': 0 },
    colWidths: [...widths],
    colAligns: widths.map((_, i) => (right.includes(i) ? 'right' : 'left')),
  });
  for (const row of rows) table.push([...row]);
  return table.toString();
}

/** Columns of the screen that each column of the table needs; none may have none. */
const columnWidths = (rows: readonly (readonly string[])[]): number[] =>
  rows[0]!.map((_, i) =>
    rows.reduce(
      (most, row) => Math.max(most, ...(row[i] ?? '').split('\n').map((line) => stringWidth(line))),
      1,
    ),
  );

/**
 * Takes from the widest column, character by character, until all of them fit: first as far as no word is broken,
 * and only when that is not enough also inside of words.
 */
function fittedWidths(rows: readonly (readonly string[])[], width: number): number[] {
  const columns = rows[0]!.map((_, i) => rows.map((row) => row[i] ?? ''));
  const widths = columns.map((cells) => most(cells.map(longestLine)));
  const words = columns.map((cells) => Math.max(NARROWEST, most(cells.map(longestWord))));
  const room = width - GAP * (widths.length - 1);
  narrow(widths, words, room);
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

const longestLine = (cell: string) => Math.max(...cell.split('\n').map((line) => line.length));

/** Broken between words, and inside of one that is too long by itself. */
function fittedCell(cell: string, width: number): string {
  if (longestLine(cell) <= width) return cell;
  return wrapText(cell, width)
    .split('\n')
    .flatMap((line) => line.match(new RegExp(`.{1,${width}}`, 'gu')) ?? [''])
    .join('\n');
}
