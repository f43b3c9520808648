import { claimsInText, renderChartText } from '../../document/text/render-chart.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { oneLine } from '../../units/visible-text.js';
import type { LatestReading, RunView } from '../run-view.js';
import { stepCharts } from '../step-charts.js';
import { apart, atRight, clip, cut } from './fit.js';
import { HEAD_ROWS, headLines, onlyLine } from './head-lines.js';
import { faint, plain, strong, type TerminalLine } from './line.js';

/** Room on the terminal. */
export interface Room {
  readonly width: number;
  readonly rows: number;
}

/** With less than this there is one line only. */
const LEAST: Room = { width: 40, rows: 10 };
/** No picture is wider: the eye loses the row. */
const MOST_WIDTH = 110;

/** Rows that each part gets. */
interface Shares {
  curve: number;
  found: number;
  events: number;
  trips: number;
  blanks: number;
}

/** Who gets the rows that are left, in this order and up to so many. The curve's are without its frame. */
const WISHES: readonly (readonly [keyof Shares, number])[] = [
  ['curve', 4],
  ['trips', 1],
  ['events', 1],
  ['found', 2],
  ['curve', 5],
  ['blanks', 2],
  ['curve', 7],
  ['events', 2],
  ['curve', 8],
  ['trips', 2],
  ['curve', 12],
  ['found', 4],
  ['events', 4],
  ['trips', 7],
  ['curve', 16],
  ['events', 6],
];

/**
 * A run as it stands, as lines for a terminal: where in the plan, what plays, what each channel gives, the curve so
 * far, the last events and what ends the run at once. Never more than `rows` lines nor wider than `width`
 * columns; a single line where there is no room for more.
 */
export function runPicture(view: RunView, room: Room): TerminalLine[] {
  const width = Math.min(room.width, MOST_WIDTH);
  if (room.width < LEAST.width || room.rows < LEAST.rows) return [onlyLine(view, room.width)];
  const channels = channelLines(view, width, room.rows - HEAD_ROWS);
  const shares = sharesOf(room.rows - HEAD_ROWS - channels.length, view);
  const gap = (before: number) => (shares.blanks >= before ? [plain('')] : []);
  return [
    ...headLines(view, width),
    ...gap(1),
    ...channels,
    ...(shares.curve === 0 ? [] : [...gap(2), ...curveLines(view, width, shares.curve)]),
    ...foundLines(view, width, shares.found),
    ...eventLines(view, width, shares.events),
    ...tripLines(view, width, shares.trips),
  ];
}

function sharesOf(free: number, view: RunView): Shares {
  const shares: Shares = { curve: 0, found: 0, events: 0, trips: 0, blanks: 0 };
  const drawable = curveLines(view, LEAST.width, 1).length > 0;
  let left = free;
  for (const [part, most] of WISHES) {
    if (part === 'curve' && !drawable) continue;
    // The first rows of a curve come with its frame, all or none.
    const first = part === 'curve' && shares.curve === 0;
    const wanted = Math.min(most, mostOf(part, view)) - shares[part] + (first ? CURVE_FRAME_ROWS : 0);
    const given = first && left < wanted ? 0 : Math.min(left, Math.max(0, wanted));
    left -= given;
    if (given > 0) shares[part] += first ? given - CURVE_FRAME_ROWS : given;
  }
  return shares;
}

/** Findings take no more rows than there are of them. */
const mostOf = (part: keyof Shares, { found }: RunView): number =>
  part === 'found' ? found.length : Number.POSITIVE_INFINITY;

/** Rows besides those of the picture itself: a title above, the axis below. */
const CURVE_FRAME_ROWS = 3;

/** The readings of the step so far as a small chart of `rows` rows without its frame. Empty before there is one. */
function curveLines({ curve, claim_W, steps }: RunView, width: number, rows: number): TerminalLine[] {
  const [chart] = curve === null ? [] : stepCharts(curve, claim_W);
  if (curve === null || chart === undefined) return [];
  const picture = renderChartText(chart, { width, rows });
  if (picture.length === 0) return [];
  // Until its own first point a step shows what the one before it gave.
  const before = steps.some(({ id, stage }) => id === curve.step && stage === 'now') ? '' : `${curve.step}: `;
  return [plain(cut(`${before}${chart.title}${claimsInText(chart)}`, width)), ...picture.map(plain)];
}

const COLUMNS = [7, 11, 11, 11] as const;

/** What each channel gave at the last point, one a row below a heading. At most `rows` rows, 2 or more. */
function channelLines({ latest }: RunView, width: number, rows: number): TerminalLine[] {
  if (latest.length === 0) return [];
  const fits = latest.length + 1 <= rows;
  const shown = fits ? latest : latest.slice(0, Math.max(0, rows - 2));
  return [
    faint(clip(row(['channel', 'power', 'voltage', 'THD+N'], 'flags'), width)),
    ...shown.map((reading) => channelLine(reading, width)),
    ...(fits ? [] : [faint(clip(`and ${latest.length - shown.length} channels more`, width))]),
  ];
}

function channelLine(
  { channel, power_W, voltage_V, thdn_percent, flags }: LatestReading,
  width: number,
): TerminalLine {
  const cells = [
    String(channel),
    formatQuantity(power_W, 'W'),
    formatQuantity(voltage_V, 'V'),
    formatQuantity(thdn_percent, '%'),
  ];
  const text = clip(row(cells, flags.join(', ')), width);
  return flags.length === 0 ? plain(text) : { text, tone: 'warning' };
}

const row = (cells: readonly string[], flags: string): string =>
  `${cells.map((cell, i) => atRight(cell, COLUMNS[i]!)).join('')}  ${flags}`.trimEnd();

const TIME_COLUMNS = 12;

/** The last events, the oldest of them first, always `rows` rows. */
function eventLines({ events }: RunView, width: number, rows: number): TerminalLine[] {
  const last = rows === 0 ? [] : events.slice(-rows);
  const lines = last.map(({ at_s, kind, text }) => {
    const words = kind === 'step' ? `step ${text}` : text;
    return plain(`${atRight(formatDuration(at_s), TIME_COLUMNS)}  ${cut(words, width - TIME_COLUMNS - 2)}`);
  });
  return [...lines, ...Array.from({ length: rows - lines.length }, () => plain(''))];
}

/** The last findings, the oldest of them first, one a row of at most `rows`. */
function foundLines({ found }: RunView, width: number, rows: number): TerminalLine[] {
  const last = rows === 0 ? [] : found.slice(-rows);
  return last.map(({ name, place, value }) => strong(cut(`${name}: ${value} (${place})`, width)));
}

/** What ends the run at once, as many whole sentences as go into `rows` rows, and how many more there are. */
function tripLines({ armed }: RunView, width: number, rows: number): TerminalLine[] {
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
