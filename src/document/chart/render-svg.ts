import { escapeHtml } from '../html/markup.js';
import type { Chart, Position } from '../model/block.js';
import { drawAxes, namesAbove } from './draw-axes.js';
import { drawLine, drawMarkers, drawnCurve, drawUncertainty } from './draw-curve.js';
import { drawGuide, guideLabel, guidePlaces } from './draw-guide.js';
import { drawMarkBars, drawMarks, drawNumber, markLabel, markPlace } from './draw-mark.js';
import { inkOf } from './palette.js';
import { LINE_HEIGHT, type PlacedLabel, placeLabels, type WantedLabel } from './place-labels.js';
import { type Plot, plotOf, px, SIZES, type Size } from './plot.js';

/** More bands than these over each other show nothing. */
const MOST_BANDS = 2;

/**
 * Draws a chart as an SVG element for a page: without script, style sheet, fixed size or outside reference, coloured by
 * the page's CSS variables, the same text each time.
 *
 * @param words what a screen reader says in place of the picture
 */
export function renderChart(chart: Chart, size: Size, words: string = chart.words): string {
  const plot = plotOf(chart, size);
  const { left, right, top, bottom, width, height } = plot;
  // The narrowest size is for telephones, which have no pointer to rest on a marker.
  const pointed = width > SIZES.narrow.width;
  const curves = chart.curves.map((curve, i) => drawnCurve(curve, i, plot));
  const bands = curves.filter(({ uncertainty }) => uncertainty === 'band').slice(0, MOST_BANDS);
  const bars = curves.filter(({ uncertainty }) => uncertainty === undefined);
  const guides = chart.guides.map((guide) => drawGuide(guide, guidePlaces(guide, plot)));
  const clip = `${chart.id}-${width}`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escapeHtml(words)}">`,
    `<clipPath id="${clip}"><path d="M${px(left)},${px(top)}H${px(right)}V${px(bottom)}H${px(left)}Z"/></clipPath>`,
    drawAxes(plot),
    `<g clip-path="url(#${clip})">`,
    ...guides,
    ...[...bands, ...bars].map((curve) => drawUncertainty(curve, plot)),
    drawMarkBars(chart.marks, plot),
    ...curves.map((curve) => drawLine(curve, plot)),
    '</g>',
    ...curves.map((curve) => drawMarkers(curve, plot, pointed)),
    drawMarks(chart.marks, plot, pointed),
    ...labels(chart, plot, curves),
    '</svg>',
  ].join('');
}

type Labelled = WantedLabel & { readonly number?: string };

/** Numbers first, since they must stand; then marks, the claims and limits, the floor. */
function labels(chart: Chart, plot: Plot, curves: readonly ReturnType<typeof drawnCurve>[]): string[] {
  const { x, y, width, bottom } = plot;
  const places = (points: readonly { readonly x: number; readonly y: number }[]) =>
    points.map((point): Position => [x(point.x), y(point.y)]);
  const marks = chart.marks.toSorted((a, b) => Number(b.shape === 'number') - Number(a.shape === 'number'));
  const wanted: Labelled[] = [
    ...marks.flatMap((mark) =>
      markLabel(mark, markPlace(mark, plot)).map((label) =>
        mark.shape === 'number' ? { ...label, number: mark.hint } : label,
      ),
    ),
    ...chart.guides.flatMap((guide) => guideLabel(guide, guidePlaces(guide, plot), plot)),
  ];
  const drawn = {
    markers: [
      ...curves.flatMap(({ marked }) => places(marked)),
      ...places(chart.marks.filter(({ shape }) => shape !== 'number' && shape !== 'words')),
    ],
    lines: curves.filter(({ style }) => style.width > 0).map(({ points }) => places(points)),
  };
  const bounds = { left: 0, right: width, top: 0, bottom };
  return (placeLabels(wanted, drawn, bounds, namesAbove(plot)) as (PlacedLabel & Labelled)[]).map((label) =>
    label.number === undefined ? haloText(label) : drawNumber(label, label.number),
  );
}

/** Text over lines: a rim in the colour of the paper keeps it readable. */
function haloText({ lines, spot: { x, y, anchor }, strong }: PlacedLabel): string {
  return lines
    .map(
      (line, i) =>
        `<text x="${px(x)}" y="${px(y + i * LINE_HEIGHT)}" dy=".35em" font-size="12" text-anchor="${anchor}"${strong && i === 0 ? ' font-weight="600"' : ''} fill="${inkOf('ink')}" stroke="${inkOf('paper')}" stroke-width="4" stroke-linejoin="round" paint-order="stroke">${escapeHtml(line)}</text>`,
    )
    .join('');
}
