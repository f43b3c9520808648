import Table from 'cli-table3';

const NO_FRAME = {
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

/** A table of words in columns: no frame, no colour, so that it reads the same on screen, paper and in a pipe. */
export function plainTable(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const table = new Table({
    head: [...head],
    chars: NO_FRAME,
    style: { head: [], border: [], 'padding-left': 0, 'padding-right': 0 },
  });
  for (const row of rows) table.push([...row]);
  return table
    .toString()
    .split('\n')
    .map((line) => line.trimEnd())
    .join('\n');
}
