import { textWidth } from '../../document/text/text-width.js';
import { oneLine } from '../../units/visible-text.js';

const graphemes = new Intl.Segmenter();
/** Nothing longer is ever shown on one line; keeps a hostile name from costing time. */
const MOST_CHARACTERS = 500;

/** Columns that a text takes on a terminal. */
export const columnsOf = (text: string): number => textWidth(text);

/** A text on one line of at most `width` columns, an ellipsis at the end where it was cut; nothing in it acts on the terminal. */
export function cut(text: string, width: number): string {
  const line = oneLine(text, MOST_CHARACTERS);
  return columnsOf(line) <= width ? line : clip(line, width);
}

/** The same for a line that is laid out with spaces, which stay. */
export function clip(line: string, width: number): string {
  if (columnsOf(line) <= width) return line;
  let kept = '';
  for (const { segment } of graphemes.segment(line)) {
    if (columnsOf(kept) + columnsOf(segment) > width - 1) break;
    kept += segment;
  }
  return width < 1 ? '' : `${kept.trimEnd()}…`;
}

/** Two texts at the ends of one line. The left one gives way. */
export function apart(left: string, right: string, width: number): string {
  const end = cut(right, Math.floor(width / 2));
  const start = cut(left, width - columnsOf(end) - 2);
  return `${start}${' '.repeat(width - columnsOf(start) - columnsOf(end))}${end}`;
}

/** A figure at the right of its column. */
export const atRight = (text: string, width: number): string =>
  `${' '.repeat(Math.max(0, width - columnsOf(text)))}${text}`;
