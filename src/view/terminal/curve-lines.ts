import { claimsInText, renderChartText } from '../../document/text/render-chart.js';
import type { RunView } from '../run-view.js';
import { stepCharts } from '../step-charts.js';
import { cut } from './fit.js';
import { plain, type TerminalLine } from './line.js';

/** Rows besides those of the picture itself: a title above, the axis below. */
export const CURVE_FRAME_ROWS = 3;

/** The readings of the step so far as a small chart of `rows` rows without its frame. Empty before there is one. */
export function curveLines({ curve, claim_W, steps }: RunView, width: number, rows: number): TerminalLine[] {
  const [chart] = curve === null ? [] : stepCharts(curve, claim_W);
  if (curve === null || chart === undefined) return [];
  const picture = renderChartText(chart, { width, rows });
  if (picture.length === 0) return [];
  // Until its own first point a step shows what the one before it gave.
  const before = steps.some(({ id, stage }) => id === curve.step && stage === 'now') ? '' : `${curve.step}: `;
  return [plain(cut(`${before}${chart.title}${claimsInText(chart)}`, width)), ...picture.map(plain)];
}
