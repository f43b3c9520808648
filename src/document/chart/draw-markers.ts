import { escapeHtml } from '../html/markup.js';
import { inkOf } from './palette.js';
import { type PlotArea, px } from './plot-area.js';
import type { Mark, Series, Spot, Stroke } from './series.js';
import { haloText } from './shapes.js';

/** Half the width of a marker, and of a single mark. */
const RADIUS = 3.5;
const MARK_RADIUS = 6;
/** A pointer within this of a marker finds it: 24 pixels across also where the drawing is shown a little smaller. */
const REACH = 14;

/**
 * The markers of a line, gathered for the reading aid of the page.
 *
 * @param pointed whether a pointer near one shows its values; without that a drawing is a third as long
 */
export function drawMarkers(
  { colour, marker, radius = RADIUS }: Stroke,
  spots: readonly Spot[],
  { x, y }: PlotArea,
  pointed: boolean,
): string {
  const shown = spots.filter(({ hint }) => hint !== null);
  if (shown.length === 0) return '';
  const rim = Math.round((15 / radius) * 10) / 100;
  const hollow = ` fill="${inkOf('paper')}" stroke="${inkOf(colour)}" stroke-width="${rim}"`;
  const markers = shown.map((spot) =>
    withHint(
      pointed ? spot.hint : null,
      { outline: marker, radius, attributes: spot.doubtful ? hollow : '' },
      x(spot.x),
      y(spot.y),
    ),
  );
  return `<g data-points="" fill="${inkOf(colour)}">${markers.join('')}</g>`;
}

/** Single marks, with their words. */
export function drawMarks(
  { colour, outline, marks }: Series & { kind: 'marks' },
  { x, y }: PlotArea,
  pointed: boolean,
): string {
  const attributes = ` fill="none" stroke="${inkOf(colour)}" stroke-width=".3"`;
  const draw = ({ x: at, y: height, hint, label }: Mark) =>
    withHint(pointed ? hint : null, { outline, radius: MARK_RADIUS, attributes }, x(at), y(height)) +
    (label === null ? '' : haloText(x(at) - MARK_RADIUS - 6, y(height), label, 'end', true));
  return marks.length === 0 ? '' : `<g data-points="">${marks.map(draw).join('')}</g>`;
}

interface Look {
  /** Within a square from -1 to 1. */
  readonly outline: string;
  readonly radius: number;
  readonly attributes: string;
}

/** An outline at a place, with what a pointer near it shows. */
function withHint(
  hint: string | null,
  { outline, radius, attributes }: Look,
  cx: number,
  cy: number,
): string {
  const path = `<path d="${outline}" transform="translate(${px(cx)},${px(cy)})scale(${radius})"${attributes}/>`;
  return hint === null
    ? path
    : `<g><title>${escapeHtml(hint)}</title>${path}<circle cx="${px(cx)}" cy="${px(cy)}" r="${REACH}" fill="none" stroke="none" pointer-events="all"/></g>`;
}
