import type { RunView } from '../run-view.js';
import { channelLines } from './channel-lines.js';
import { CURVE_FRAME_ROWS, curveLines } from './curve-lines.js';
import { HEAD_ROWS, headLines, onlyLine } from './head-lines.js';
import { plain, type TerminalLine } from './line.js';
import { eventLines, foundLines, tripLines } from './tail-lines.js';

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
