import Table from 'cli-table3';
import { visibleText } from './visible-text.js';

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

/**
 * Words and figures in columns, without a frame: it reads the same on screen, on paper and in a pipe.
 *
 * @param right numbers of the columns (from 0) whose cells stand at the right, as figures do.
 */
export function textTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
): string {
  const table = new Table({
    head: [...head],
    chars: FRAMELESS,
    style: { head: [], border: [], 'padding-left': 0, 'padding-right': 0 },
    colAligns: head.map((_, i) => (right.includes(i) ? 'right' : 'left')),
  });
  for (const row of rows) table.push(row.map((cell) => visibleText(cell)));
  return table
    .toString()
    .split('\n')
    .map((line) => line.trimEnd())
    .join('\n');
}
