import { escapeHtml } from '../html/markup.js';
import type { ChartPoint, Curve } from '../model/block.js';
import { isOn } from './axis.js';
import { type CurveStyle, curveStyle } from './curve-style.js';
import { inkOf } from './palette.js';
import { type Plot, px } from './plot.js';

/** A curve with more points than this has a marker on every second, third... of them only. */
const MOST_MARKERS = 64;
/** A pointer within this of a marker finds it: 24 pixels across also where the drawing is shown a little smaller. */
const REACH = 14;
/** What is nearer than this to the point before shows nothing and makes a page large, pixels. */
const NEAR = 0.5;

/** A curve as it is drawn: what has a place on the axes. */
export interface DrawnCurve extends Pick<Curve, 'uncertainty'> {
  readonly style: CurveStyle;
  readonly points: readonly ChartPoint[];
  readonly marked: readonly ChartPoint[];
}

export function drawnCurve(curve: Curve, index: number, { x, y, across, up }: Plot): DrawnCurve {
  const points = curve.points.filter((point) => Number.isFinite(x(point.x)) && Number.isFinite(y(point.y)));
  const stride = Math.ceil(points.length / MOST_MARKERS);
  const style = curveStyle(curve, index);
  // An axis leaves out what lies far below the rest; a marker there would stand on whatever comes after the chart.
  const marked =
    style.marker === ''
      ? []
      : points.filter((point, i) => i % stride === 0 && isOn(across, point.x) && isOn(up, point.y));
  return { style, points, marked, ...(curve.uncertainty && { uncertainty: curve.uncertainty }) };
}

export function drawLine({ style, points }: DrawnCurve, { x, y }: Plot): string {
  const { colour, dash, width } = style;
  if (points.length < 2 || width === 0) return '';
  let last: readonly [number, number] | null = null;
  const places = points.flatMap((point, i) => {
    const place = [x(point.x), y(point.y)] as const;
    const near = last !== null && Math.hypot(place[0] - last[0], place[1] - last[1]) < NEAR;
    if (near && i < points.length - 1) return [];
    last = place;
    return [`${px(place[0])},${px(place[1])}`];
  });
  const dashes = dash.length > 0 ? ` stroke-dasharray="${dash.join()}"` : '';
  return `<path d="M${places.join('L')}" fill="none" stroke="${inkOf(colour)}" stroke-width="${width}" stroke-linejoin="round"${dashes}/>`;
}

/** How far the points of a curve may lie up or down: a band along it, or a bar at each. */
export function drawUncertainty(curve: DrawnCurve, plot: Plot): string {
  return curve.uncertainty === 'band' ? drawBand(curve, plot) : drawBars(curve, plot);
}

function drawBand({ style, points }: DrawnCurve, { x, y, top, bottom }: Plot): string {
  const shown = points.filter(({ within }) => within != null);
  if (shown.length < 2) return '';
  // A value that may be nothing at all has no lower edge on a logarithmic axis: the band ends with the plot.
  const place = (at: number, height: number) =>
    `${px(x(at))},${px(Number.isFinite(height) ? Math.min(bottom, Math.max(top, height)) : bottom)}`;
  const upper = shown.map((point) => place(point.x, y(point.y + point.within!)));
  const lower = shown.map((point) => place(point.x, y(Math.max(0, point.y - point.within!)))).reverse();
  return `<path d="M${[...upper, ...lower].join('L')}Z" fill="${inkOf(style.colour)}" fill-opacity=".17"/>`;
}

function drawBars({ style, points }: DrawnCurve, { x, y }: Plot): string {
  const bars = points.flatMap(({ x: at, y: height, within }) => {
    const ends = within ? [height - within, height + within].map(y) : [];
    return ends.length > 0 && ends.every(Number.isFinite)
      ? [`M${px(x(at))},${px(ends[0]!)}L${px(x(at))},${px(ends[1]!)}`]
      : [];
  });
  return bars.length === 0 ? '' : drawBar(bars.join(''), style.colour);
}

/** Thick strokes: from where to where single values may lie. */
export const drawBar = (path: string, colour: CurveStyle['colour']): string =>
  `<path d="${path}" fill="none" stroke="${inkOf(colour)}" stroke-width="4" stroke-opacity=".45"/>`;

/**
 * The markers of a curve, gathered for the reading aid of the page.
 *
 * @param pointed whether a pointer near one shows its values; without that a drawing is a third as long
 */
export function drawMarkers({ style, marked }: DrawnCurve, { x, y }: Plot, pointed: boolean): string {
  if (marked.length === 0) return '';
  const { colour, marker, radius, hollow } = style;
  const rim = Math.round((15 / radius) * 10) / 100;
  const outline = ` fill="${inkOf('paper')}" stroke="${inkOf(colour)}" stroke-width="${rim}"`;
  const markers = marked.map((point) =>
    withHint(
      pointed ? point.hint : undefined,
      `<path d="${marker}" transform="translate(${px(x(point.x))},${px(y(point.y))})scale(${radius})"${hollow || point.doubtful ? outline : ''}/>`,
      [x(point.x), y(point.y)],
    ),
  );
  return `<g data-points="" fill="${inkOf(colour)}">${markers.join('')}</g>`;
}

/** An outline at a place, with what a pointer near it shows. */
export const withHint = (
  hint: string | undefined,
  path: string,
  [cx, cy]: readonly [number, number],
): string =>
  hint === undefined
    ? path
    : `<g><title>${escapeHtml(hint)}</title>${path}<circle cx="${px(cx)}" cy="${px(cy)}" r="${REACH}" fill="none" stroke="none" pointer-events="all"/></g>`;
