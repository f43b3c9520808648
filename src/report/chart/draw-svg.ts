import { escapeHtml } from '../markup.js';
import type { Axis, Margins } from './axes.js';
import { drawAxes } from './draw-axes.js';
import { inkOf } from './palette.js';
import { type PlotArea, plotArea, px } from './plot-area.js';
import type { Mark, Series, Spot, Stroke } from './series.js';
import { drawShapes, haloText, type Shape } from './shapes.js';

export interface Drawing {
  /** What a screen reader says in place of the picture. */
  readonly name: string;
  /** Unique in the page; letters, digits and hyphens. */
  readonly id: string;
  readonly width: number;
  readonly height: number;
  readonly margins: Margins;
  readonly across: Axis;
  readonly up: Axis;
  /** Behind the lines, and over them. */
  readonly under?: readonly Shape[];
  readonly over?: readonly Shape[];
  readonly series: readonly Series[];
}

/** Half the width of a marker, and of a single mark. */
const RADIUS = 3.5;
const MARK_RADIUS = 6;
/** A pointer within this of a marker finds it: 24 pixels across also where the drawing is shown a little smaller. */
const REACH = 14;
const LINE = 1.6;

/**
 * Draws a chart as an SVG element for a page: without script, style sheet, fixed size or outside reference,
 * coloured by the page's CSS variables, the same text each time.
 */
export function drawSvg(drawing: Drawing): string {
  const { id, name, width, height, margins, across, up, under = [], over = [], series } = drawing;
  const area = plotArea(drawing, margins, across, up);
  const { left, right, top, bottom } = area;
  const lines = series.flatMap((one) => (one.kind === 'line' ? [one] : []));
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escapeHtml(name)}">`,
    `<clipPath id="${id}-plot"><path d="M${px(left)},${px(top)}H${px(right)}V${px(bottom)}H${px(left)}Z"/></clipPath>`,
    drawAxes(area, across, up),
    `<g clip-path="url(#${id}-plot)">`,
    drawShapes(under, area),
    ...lines.map(({ stroke, spots }) => drawLine(stroke, spots, area)),
    '</g>',
    ...series.map((one) =>
      one.kind === 'across' ? one.lines.map((line) => drawAcross(line, area)).join('') : '',
    ),
    ...lines.map(({ stroke, spots }) => drawMarkers(stroke, spots, area)),
    ...series.map((one) => (one.kind === 'marks' ? drawMarks(one, area) : '')),
    drawShapes(over, area),
    '</svg>',
  ].join('');
}

function drawLine(
  { colour, dash, width = LINE }: Stroke,
  spots: readonly Spot[],
  { x, y }: PlotArea,
): string {
  if (spots.length < 2) return '';
  let last: readonly [number, number] | null = null;
  const places = spots.flatMap((spot, i) => {
    const place = [x(spot.x), y(spot.y)] as const;
    // What is nearer than a pixel's share shows nothing and makes a page large.
    const near = last !== null && Math.hypot(place[0] - last[0], place[1] - last[1]) < 0.5;
    if (near && i < spots.length - 1) return [];
    last = place;
    return [`${px(place[0])},${px(place[1])}`];
  });
  const dashes = dash.length > 0 ? ` stroke-dasharray="${dash.join()}"` : '';
  return `<path d="M${places.join('L')}" fill="none" stroke="${inkOf(colour)}" stroke-width="${width}" stroke-linejoin="round"${dashes}/>`;
}

function drawMarkers(
  { colour, marker, radius = RADIUS }: Stroke,
  spots: readonly Spot[],
  { x, y }: PlotArea,
): string {
  if (spots.every(({ hint }) => hint === null)) return '';
  const rim = Math.round((15 / radius) * 10) / 100;
  const hollow = ` fill="${inkOf('paper')}" stroke="${inkOf(colour)}" stroke-width="${rim}"`;
  const markers = spots.map(({ x: at, y: height, hint, doubtful }) =>
    hint === null ? '' : marked(hint, marker, x(at), y(height), radius, doubtful ? hollow : ''),
  );
  return `<g fill="${inkOf(colour)}">${markers.join('')}</g>`;
}

/** An outline at a place, with what a pointer near it shows. */
function marked(
  hint: string,
  outline: string,
  cx: number,
  cy: number,
  radius: number,
  attributes: string,
): string {
  const at = `${px(cx)},${px(cy)}`;
  return `<g><title>${escapeHtml(hint)}</title><path d="${outline}" transform="translate(${at})scale(${radius})"${attributes}/><circle cx="${px(cx)}" cy="${px(cy)}" r="${REACH}" fill="none" stroke="none" pointer-events="all"/></g>`;
}

function drawMarks({ colour, outline, marks }: Series & { kind: 'marks' }, { x, y }: PlotArea): string {
  const rim = ` fill="none" stroke="${inkOf(colour)}" stroke-width=".3"`;
  const draw = ({ x: at, y: height, hint, label }: Mark) =>
    marked(hint, outline, x(at), y(height), MARK_RADIUS, rim) +
    (label === null ? '' : haloText(x(at) - MARK_RADIUS - 6, y(height), label, 'end', true));
  return marks.map(draw).join('');
}

function drawAcross(
  { y: height, name }: { readonly y: number; readonly name: string },
  { left, right, y }: PlotArea,
): string {
  const at = Math.round(y(height)) + 0.5;
  return `<path d="M${px(left)},${at}H${px(right)}" fill="none" stroke="${inkOf('ink')}" stroke-dasharray="1,3"/><text x="${px(right + 4)}" y="${at}" dy=".35em" font-size="12" fill="${inkOf('ink')}">${escapeHtml(name)}</text>`;
}
