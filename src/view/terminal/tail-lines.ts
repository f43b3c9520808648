import { wrapText } from '../../document/text/wrap-text.js';
import { formatDuration } from '../../units/format.js';
import { oneLine } from '../../units/visible-text.js';
import type { RunView } from '../run-view.js';
import { apart, atRight, cut } from './fit.js';
import { faint, plain, strong, type TerminalLine } from './line.js';

const TIME_COLUMNS = 12;

/** The last events, the oldest of them first, always `rows` rows. */
export function eventLines({ events }: RunView, width: number, rows: number): TerminalLine[] {
  const last = rows === 0 ? [] : events.slice(-rows);
  const lines = last.map(({ at_s, kind, text }) => {
    const words = kind === 'step' ? `step ${text}` : text;
    return plain(`${atRight(formatDuration(at_s), TIME_COLUMNS)}  ${cut(words, width - TIME_COLUMNS - 2)}`);
  });
  return [...lines, ...Array.from({ length: rows - lines.length }, () => plain(''))];
}

/** The last findings, the oldest of them first, one a row of at most `rows`. */
export function foundLines({ found }: RunView, width: number, rows: number): TerminalLine[] {
  const last = rows === 0 ? [] : found.slice(-rows);
  return last.map(({ name, place, value }) => strong(cut(`${name}: ${value} (${place})`, width)));
}

/** What ends the run at once, as many whole sentences as go into `rows` rows, and how many more there are. */
export function tripLines({ armed }: RunView, width: number, rows: number): TerminalLine[] {
  if (rows === 0 || armed.length === 0) return [];
  const sentences = armed.map((sentence) => oneLine(sentence, 200));
  for (let shown = sentences.length; shown > 0; shown--) {
    const rest = sentences.length - shown;
    const text = [
      'Ends at once on:',
      ...sentences.slice(0, shown),
      ...(rest > 0 ? [`And ${rest} more.`] : []),
    ];
    const lines = wrapText(text.join(' '), width, '  ').split('\n');
    if (lines.length <= rows) return lines.map((line) => faint(cutKeeping(line, width)));
  }
  const more = sentences.length === 1 ? '' : `and ${sentences.length - 1} more`;
  return [faint(apart(`Ends at once on: ${sentences[0]}`, more, width))];
}

/** Cut to the width with the indent as it is. */
function cutKeeping(line: string, width: number): string {
  const indent = line.length - line.trimStart().length;
  return ' '.repeat(indent) + cut(line, width - indent);
}
