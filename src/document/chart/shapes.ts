import { escapeHtml } from '../html/markup.js';
import { type ColourName, inkOf } from './palette.js';
import { type PlotArea, px } from './plot-area.js';

/** Something drawn by its place on the axes besides lines and markers. */
export type Shape =
  /** Between two curves: where a value may lie. */
  | {
      readonly kind: 'band';
      readonly colour: ColourName;
      readonly edges: readonly { readonly x: number; readonly low: number; readonly high: number }[];
    }
  /** Thick strokes: from where to where single values may lie. */
  | {
      readonly kind: 'bars';
      readonly colour: ColourName;
      readonly spans: readonly (readonly [from: Place, to: Place])[];
    }
  /** A thin line with a meaning of its own. */
  | {
      readonly kind: 'rule';
      readonly colour: ColourName;
      readonly through: readonly Place[];
      readonly dash: readonly number[];
    }
  /** Lines of words beside a place, with a rim in the colour of the paper. */
  | {
      readonly kind: 'words';
      readonly at: Place;
      readonly lines: readonly string[];
      readonly anchor: 'start' | 'middle' | 'end';
      /** Pixels from the place to the first line's middle. */
      readonly dx?: number;
      readonly dy?: number;
      readonly strong?: boolean;
    }
  /** A number in a ring, for a note below the chart. */
  | { readonly kind: 'number'; readonly at: Place; readonly text: string; readonly hint: string };

export type Place = readonly [x: number, y: number];

const LINE_HEIGHT = 15;
/** Above its place, clear of the marker there. */
const NUMBER_RISE = 17;

/** Shapes as SVG, in their order. Whatever has no place on the axes is left out. */
export const drawShapes = (shapes: readonly Shape[], area: PlotArea): string =>
  shapes.map((shape) => drawShape(shape, area)).join('');

function drawShape(shape: Shape, area: PlotArea): string {
  switch (shape.kind) {
    case 'band':
      return drawBand(shape, area);
    case 'bars':
      return stroke(
        shape.spans,
        area,
        `stroke="${inkOf(shape.colour)}" stroke-width="4" stroke-opacity=".45"`,
      );
    case 'rule':
      return stroke(
        [shape.through],
        area,
        `stroke="${inkOf(shape.colour)}" stroke-width="1.3"${shape.dash.length > 0 ? ` stroke-dasharray="${shape.dash.join()}"` : ''}`,
      );
    case 'words':
      return drawWords(shape, area);
    case 'number':
      return drawNumber(shape, area);
  }
}

function drawBand({ edges, colour }: Shape & { kind: 'band' }, { x, y, top, bottom }: PlotArea): string {
  const shown = edges.filter((edge) => Number.isFinite(edge.x) && Number.isFinite(edge.high));
  if (shown.length < 2) return '';
  // A value that may be nothing at all has no lower edge on a logarithmic axis: the band ends with the plot.
  const place = (at: number, height: number) =>
    `${px(x(at))},${px(Number.isFinite(height) ? Math.min(bottom, Math.max(top, y(height))) : bottom)}`;
  const upper = shown.map((edge) => place(edge.x, edge.high));
  const lower = shown.map((edge) => place(edge.x, edge.low)).reverse();
  return `<path d="M${[...upper, ...lower].join('L')}Z" fill="${inkOf(colour)}" fill-opacity=".17"/>`;
}

/** Runs of places as one path. */
function stroke(runs: readonly (readonly Place[])[], { x, y }: PlotArea, attributes: string): string {
  const shown = runs.filter((places) => places.flat().every(Number.isFinite) && places.length > 1);
  if (shown.length === 0) return '';
  const paths = shown.map(
    (places) => `M${places.map(([at, height]) => `${px(x(at))},${px(y(height))}`).join('L')}`,
  );
  return `<path d="${paths.join('')}" fill="none" ${attributes}/>`;
}

function drawWords(shape: Shape & { kind: 'words' }, { x, y }: PlotArea): string {
  const { at, lines, anchor, dx = 0, dy = 0, strong = false } = shape;
  if (!at.every(Number.isFinite)) return '';
  return lines
    .map((line, i) =>
      haloText(x(at[0]) + dx, y(at[1]) + dy + i * LINE_HEIGHT, line, anchor, strong && i === 0),
    )
    .join('');
}

/** Text over lines: a rim in the colour of the paper keeps it readable. */
export const haloText = (
  left: number,
  top: number,
  words: string,
  anchor: 'start' | 'middle' | 'end',
  strong: boolean,
): string =>
  `<text x="${px(left)}" y="${px(top)}" dy=".35em" font-size="12" text-anchor="${anchor}"${strong ? ' font-weight="600"' : ''} fill="${inkOf('ink')}" stroke="${inkOf('paper')}" stroke-width="4" stroke-linejoin="round" paint-order="stroke">${escapeHtml(words)}</text>`;

function drawNumber({ at, text, hint }: Shape & { kind: 'number' }, { x, y, top }: PlotArea): string {
  const [cx, point] = [x(at[0]), y(at[1])];
  if (![cx, point].every(Number.isFinite)) return '';
  const cy = point - NUMBER_RISE < top ? point + NUMBER_RISE : point - NUMBER_RISE;
  const radius = text.length > 1 ? 10 : 8.5;
  return `<g><title>${escapeHtml(hint)}</title><circle cx="${px(cx)}" cy="${px(cy)}" r="${radius}" fill="${inkOf('paper')}" stroke="${inkOf('ink')}"/><text x="${px(cx)}" y="${px(cy)}" dy=".35em" font-size="11" font-weight="600" text-anchor="middle" fill="${inkOf('ink')}">${escapeHtml(text)}</text></g>`;
}
