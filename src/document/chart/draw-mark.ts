import { escapeHtml } from '../html/markup.js';
import type { Mark, Position } from '../model/block.js';
import { colourOf, DIAMOND, RING } from './curve-style.js';
import { drawBar, withHint } from './draw-curve.js';
import { inkOf } from './palette.js';
import { type PlacedLabel, type Spot, spotsAround, type WantedLabel } from './place-labels.js';
import { type Plot, px } from './plot.js';

/** Half the width of a mark in pixels, and of the ring around a number. */
const RADIUS = 6;
const NUMBER_RADIUS = 8.5;

const OUTLINES: Readonly<Record<Exclude<Mark['shape'], 'number' | 'words'>, string>> = {
  ring: RING,
  diamond: DIAMOND,
  latest: RING,
};

export const markPlace = ({ x, y }: Mark, plot: Plot): Position => [plot.x(x), plot.y(y)];

/** Marks with outlines, gathered for the reading aid; numbers are labels. */
export function drawMarks(marks: readonly Mark[], plot: Plot, pointed: boolean): string {
  const drawn = marks.flatMap((mark) => {
    const [x, y] = markPlace(mark, plot);
    if (mark.shape === 'number' || mark.shape === 'words' || ![x, y].every(Number.isFinite)) return [];
    const colour = inkOf(mark.shape === 'latest' ? 'ink' : colourOf(mark.ink));
    const path = `<path d="${OUTLINES[mark.shape]}" transform="translate(${px(x)},${px(y)})scale(${RADIUS})" fill="none" stroke="${colour}" stroke-width=".3"/>`;
    return [withHint(pointed ? mark.hint : undefined, path, [x, y])];
  });
  return drawn.length === 0 ? '' : `<g data-points="">${drawn.join('')}</g>`;
}

/** How far marks may lie to the left or the right. */
export const drawMarkBars = (marks: readonly Mark[], { x, y }: Plot): string =>
  marks
    .flatMap((mark) => {
      const ends = mark.within ? [mark.x - mark.within, mark.x + mark.within].map(x) : [];
      return ends.length > 0 && ends.every(Number.isFinite)
        ? [drawBar(`M${px(ends[0]!)},${px(y(mark.y))}L${px(ends[1]!)},${px(y(mark.y))}`, colourOf(mark.ink))]
        : [];
    })
    .join('');

/** The words of a mark, near it; a number above or below its point, and in any case somewhere. */
export function markLabel({ shape, label }: Mark, place: Position): WantedLabel[] {
  if (label.length === 0 || !place.every(Number.isFinite)) return [];
  switch (shape) {
    case 'number':
      return [{ lines: label, spots: spotsAbove(place, [18, 28, 40]), needed: true }];
    case 'words':
      return [{ lines: label, spots: spotsAbove(place, [11, 16]) }];
    case 'ring':
    case 'diamond':
    case 'latest':
      return [{ lines: label, spots: spotsAround(place, label.length), strong: true }];
  }
}

/** Spots above a mark, below it and aslant, at so many pixels. */
const spotsAbove = ([x, y]: Position, distances: readonly number[]): Spot[] =>
  distances.flatMap((far) => {
    const near = 0.7 * far;
    return [
      [0, -far],
      [0, far],
      [near, -near],
      [-near, -near],
      [near, near],
      [-near, near],
    ].map(([right, down]): Spot => ({ x: x + right!, y: y + down!, anchor: 'middle' }));
  });

/** A number in a ring, for a note below the chart. */
export function drawNumber({ lines, spot }: PlacedLabel, hint: string): string {
  const text = lines[0]!;
  const radius = text.length > 1 ? NUMBER_RADIUS + 1.5 : NUMBER_RADIUS;
  return `<g><title>${escapeHtml(hint)}</title><circle cx="${px(spot.x)}" cy="${px(spot.y)}" r="${radius}" fill="${inkOf('paper')}" stroke="${inkOf('ink')}"/><text x="${px(spot.x)}" y="${px(spot.y)}" dy=".35em" font-size="11" font-weight="600" text-anchor="middle" fill="${inkOf('ink')}">${escapeHtml(text)}</text></g>`;
}
