import { escapeHtml } from '../html/markup.js';
import { type Axis, type Margins, SIZES } from './axes.js';
import { drawAxes } from './draw-axes.js';
import { drawMarkers, drawMarks } from './draw-markers.js';
import { inkOf } from './palette.js';
import { type PlotArea, plotArea, px } from './plot-area.js';
import type { Series, Spot, Stroke } from './series.js';
import { drawShapes, type Shape } from './shapes.js';

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

const LINE = 1.6;

/**
 * Draws a chart as an SVG element for a page: without script, style sheet, fixed size or outside reference,
 * coloured by the page's CSS variables, the same text each time.
 */
export function drawSvg(drawing: Drawing): string {
  const { id, name, width, height, margins, across, up, under = [], over = [], series } = drawing;
  const area = plotArea(drawing, margins, across, up);
  const { left, right, top, bottom } = area;
  // The narrowest size is for telephones, which have no pointer to rest on a marker.
  const pointed = width > SIZES.narrow.width;
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
    ...lines.map(({ stroke, spots }) => drawMarkers(stroke, spots, area, pointed)),
    ...series.map((one) => (one.kind === 'marks' ? drawMarks(one, area, pointed) : '')),
    drawShapes(over, area),
    '</svg>',
  ].join('');
}

function drawLine(
  { colour, dash, width = LINE }: Stroke,
  spots: readonly Spot[],
  { x, y }: PlotArea,
): string {
  if (spots.length < 2 || width === 0) return '';
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

function drawAcross(
  { y: height, name }: { readonly y: number; readonly name: string },
  { left, right, y }: PlotArea,
): string {
  const at = Math.round(y(height)) + 0.5;
  return `<path d="M${px(left)},${at}H${px(right)}" fill="none" stroke="${inkOf('ink')}" stroke-dasharray="1,3"/><text x="${px(right + 4)}" y="${at}" dy=".35em" font-size="12" fill="${inkOf('ink')}">${escapeHtml(name)}</text>`;
}
