import type { KneeResult, PowerAtThdn, Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import type { Curve, CurveGroup } from '../curves.js';
import { GRID, logarithmic, SIZES, type SizeName } from './axes.js';
import { drawSvg } from './draw-svg.js';
import { type LineStyle, lineStyle } from './line-style.js';
import { acrossLines, curveSeries, type Mark, markSeries, type Series, wordsAt } from './series.js';
import { logAxis } from './ticks.js';

const RING = 'M-1,0A1,1,0,1,1,1,0A1,1,0,1,1,-1,0Z';
const LOZENGE = 'M0,-1L1,0L0,1L-1,0Z';

/** THD+N against power, both in decades, with the thresholds, the crossings and the knees of a climb marked. */
export function climbChart(group: CurveGroup, id: string, name: string, size: SizeName): string {
  const { curves } = group;
  const readings = curves.flatMap((curve) => curve.readings);
  const thresholds = [...new Set(curves.flatMap(crossingsOf).map((mark) => mark.threshold_percent))];
  const across = logAxis(
    readings.map((reading) => reading.power_W),
    { margin: 0.03 },
  );
  const heights = readings.map((reading) => reading.thdn_percent);
  // Room below the curve for the words at the knee.
  const up = logAxis([...heights, ...heights.map((height) => 0.45 * height), ...thresholds], { dense: 1.4 });
  const all: Series[] = [
    acrossLines(
      thresholds.map((percent) => ({ y: Math.log10(percent), name: formatQuantity(percent, '%') })),
    ),
    ...curves.map((curve, i) => curveOf(curve, lineStyle(i))),
    ...marksOf(curves),
  ];
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    option: {
      grid: GRID,
      xAxis: logarithmic({
        ...across,
        labelled: size === 'narrow' ? across.labelled.filter((step) => Number.isInteger(step)) : across.grid,
        name: 'Power per channel, W',
        side: 'bottom',
      }),
      yAxis: logarithmic({ ...up, name: 'THD+N, %', side: 'left' }),
      series: all.map(({ series }) => series),
    },
    hint: (series, item) => all[series]?.hints[item] ?? null,
  });
}

const curveOf = (curve: Curve, style: LineStyle): Series =>
  curveSeries(
    curve.readings,
    style,
    ({ power_W, thdn_percent }) => [Math.log10(power_W), Math.log10(thdn_percent)],
    ({ power_W, thdn_percent }) =>
      `${curve.label}: ${formatQuantity(power_W, 'W')}, THD+N ${formatQuantity(thdn_percent, '%')}`,
  );

const crossingsOf = ({ results }: Curve): PowerAtThdn[] =>
  results.filter((result) => result.kind === 'power-at-thdn');

const kneeOf = ({ results }: Curve): KneeResult | undefined =>
  results.find((result) => result.kind === 'knee');

/** Rings at the crossings and lozenges at the knees. Only the weakest curve has words, or they would collide. */
function marksOf(curves: readonly Curve[]): Series[] {
  const weakest = curves.reduce<Curve | null>(
    (worst, curve) => (worst === null || leastPower(curve) < leastPower(worst) ? curve : worst),
    null,
  );
  const marks = curves.flatMap((curve, i) => [
    markSeries(crossingMarks(curve, curve === weakest), lineStyle(i), RING),
    markSeries(kneeMarks(curve), lineStyle(i), LOZENGE),
  ]);
  return weakest === null ? marks : [...marks, ...kneeWords(weakest, curves)];
}

/** The knee's power, written below all curves, where nothing crosses it. */
function kneeWords(curve: Curve, curves: readonly Curve[]): Series[] {
  const least = Math.min(
    ...curves.flatMap(({ readings }) => readings.map(({ thdn_percent }) => thdn_percent)),
  );
  return kneeMarks(curve).map(({ x }) => wordsAt(x, Math.log10(least), kneeName(10 ** x)));
}

const leastPower = (curve: Curve): number =>
  Math.min(...crossingsOf(curve).map(({ power_W }) => power_W ?? Number.POSITIVE_INFINITY));

function crossingMarks(curve: Curve, worded: boolean): Mark[] {
  return crossingsOf(curve).flatMap(({ power_W, threshold_percent }) =>
    power_W === null
      ? []
      : [
          {
            x: Math.log10(power_W),
            y: Math.log10(threshold_percent),
            hint: `${curve.label}: ${formatQuantity(power_W, 'W')} at ${formatQuantity(threshold_percent, '%')}`,
            label: worded ? formatQuantity(power_W, 'W') : null,
          },
        ],
  );
}

function kneeMarks(curve: Curve): Mark[] {
  const power_W = kneeOf(curve)?.power_W ?? null;
  const y = power_W === null ? Number.NaN : Math.log10(thdnAt(curve.readings, power_W));
  if (power_W === null || !Number.isFinite(y)) return [];
  return [{ x: Math.log10(power_W), y, hint: `${curve.label}: ${kneeName(power_W)}`, label: null }];
}

const kneeName = (power_W: number): string => `knee ${formatQuantity(power_W, 'W')}`;

/** Where a curve, sorted by power, passes a power: drawn between its two neighbours as the eye sees it. */
function thdnAt(readings: readonly Reading[], power_W: number): number {
  const above = readings.findIndex((reading) => reading.power_W >= power_W);
  if (above <= 0) return readings.at(above)?.thdn_percent ?? Number.NaN;
  const [low, high] = [readings[above - 1]!, readings[above]!];
  const share = Math.log(power_W / low.power_W) / Math.log(high.power_W / low.power_W);
  return low.thdn_percent * (high.thdn_percent / low.thdn_percent) ** share;
}
