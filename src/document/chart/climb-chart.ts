import type { KneeResult, PowerAtThdn } from '../../record/old-results.js';
import type { Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { typeset } from '../html/typeset.js';
import { isClearKnee } from '../model/clear-knee.js';
import { powerWithin } from '../model/wording.js';
import { GRID, logarithmic, SIZES, type SizeName } from './axes.js';
import { kneeWords, plateauShapes } from './climb-plateau.js';
import type { Curve, CurveGroup } from './curves.js';
import { drawSvg } from './draw-svg.js';
import { floorPlaces, floorShapes, floorWords } from './floor-line.js';
import { type LineStyle, lineStyle } from './line-style.js';
import { readingWords } from './reading-words.js';
import { acrossLines, curveSeries, type Mark, markSeries, type Series } from './series.js';
import type { Shape } from './shapes.js';
import { logAxis } from './ticks.js';

const RING = 'M-1,0A1,1,0,1,1,1,0A1,1,0,1,1,-1,0Z';
const LOZENGE = 'M0,-1L1,0L0,1L-1,0Z';
/** More bands than these over each other show nothing. */
const MOST_BANDS = 2;

/** A power that somebody published for the setting of a climb. */
export interface ClaimedPower {
  readonly power_W: number;
  /** `claim 100 W`. */
  readonly words: string;
}

/** What a climb is held against. */
export interface ClimbExtras {
  readonly claims?: readonly ClaimedPower[];
  /** THD+N of the bench by itself where a reading was taken, percent; null: not stated. */
  readonly floorAt?: (reading: Reading) => number | null;
}

/**
 * THD+N against power, both in decades: thresholds and crossings, knee and plateau, the claimed powers, and how uncertain
 * it all is (bands for THD+N, bars for the powers at the crossings). Behind them what the bench reads of itself.
 */
export function climbChart(
  group: CurveGroup,
  id: string,
  name: string,
  size: SizeName,
  { claims = [], floorAt = () => null }: ClimbExtras = {},
): string {
  const { curves } = group;
  const readings = curves.flatMap((curve) => curve.readings);
  const thresholds = [...new Set(curves.flatMap(crossingsOf).map((mark) => mark.threshold_percent))];
  const powers = [...readings, ...claims].map(({ power_W }) => power_W);
  const across = logAxis(powers, { margin: 0.03 });
  const weakest = weakestOf(curves);
  const plateau_percent = (weakest && kneeOf(weakest)?.plateau_percent) ?? null;
  const heights = [
    ...readings.map((reading) => reading.thdn_percent),
    ...(plateau_percent === null ? [] : [plateau_percent]),
  ];
  // Room below the curve for the words at the knee.
  const up = logAxis([...heights, ...heights.map((height) => 0.25 * height), ...thresholds], { dense: 1.4 });
  const floorSpots = floorPlaces(weakest?.readings ?? [], floorAt, ({ power_W }) => Math.log10(power_W));
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    margins: GRID,
    across: logarithmic({
      ...across,
      labelled: size === 'narrow' ? across.labelled.filter((step) => Number.isInteger(step)) : across.grid,
      name: 'Power per channel, W',
      side: 'bottom',
    }),
    up: logarithmic({ ...up, name: 'THD+N, %', side: 'left' }),
    under: [
      ...claims.map(({ power_W }) => claimLine(power_W, up)),
      ...floorShapes(floorSpots),
      ...curves.slice(0, MOST_BANDS).map((curve, i) => uncertaintyBand(curve, lineStyle(i))),
      ...curves.map((curve, i) => crossingBars(curve, lineStyle(i))),
      ...(weakest ? plateauShapes(kneeOf(weakest), weakest.readings) : []),
    ],
    series: [
      acrossLines(
        thresholds.map((percent) => ({ y: Math.log10(percent), name: formatQuantity(percent, '%') })),
      ),
      ...curves.map((curve, i) => curveOf(curve, lineStyle(i))),
      ...marksOf(curves, weakest),
    ],
    over: [
      ...floorWords(floorSpots, up),
      ...claims.map((claim) => claimWords(claim, up.high)),
      ...(weakest ? kneeWords(kneeOf(weakest), heights, across) : []),
    ],
  });
}

const curveOf = (curve: Curve, style: LineStyle): Series =>
  curveSeries(
    curve.readings,
    style,
    ({ power_W, thdn_percent }) => [Math.log10(power_W), Math.log10(thdn_percent)],
    (reading) => readingWords(curve.label, reading),
  );

export const crossingsOf = ({ results }: Curve): PowerAtThdn[] =>
  results.filter((result) => result.kind === 'power-at-thdn');

export const kneeOf = ({ results }: Curve): KneeResult | undefined =>
  results.find((result) => result.kind === 'knee');

/** The curve that reaches a threshold at the least power. */
export const weakestOf = (curves: readonly Curve[]): Curve | null =>
  curves.reduce<Curve | null>(
    (worst, curve) => (worst === null || leastPower(curve) < leastPower(worst) ? curve : worst),
    null,
  );

const leastPower = (curve: Curve): number =>
  Math.min(...crossingsOf(curve).map(({ power_W }) => power_W ?? Number.POSITIVE_INFINITY));

/** Rings at the crossings and lozenges at the knees. Only the weakest curve has words, or they would collide. */
const marksOf = (curves: readonly Curve[], weakest: Curve | null): Series[] =>
  curves.flatMap((curve, i) => [
    markSeries(crossingMarks(curve, curve === weakest), lineStyle(i), RING),
    markSeries(kneeMarks(curve), lineStyle(i), LOZENGE),
  ]);

function crossingMarks(curve: Curve, worded: boolean): Mark[] {
  return crossingsOf(curve).flatMap(({ power_W, uncertainty_W, threshold_percent }) =>
    power_W === null
      ? []
      : [
          {
            x: Math.log10(power_W),
            y: Math.log10(threshold_percent),
            hint: typeset(
              `${curve.label}: ${powerWithin(power_W, uncertainty_W)} at ${formatQuantity(threshold_percent, '%')} THD+N`,
            ),
            label: worded ? formatQuantity(power_W, 'W') : null,
          },
        ],
  );
}

function kneeMarks(curve: Curve): Mark[] {
  const knee = kneeOf(curve);
  if (!isClearKnee(knee)) return [];
  const { power_W, uncertainty_W } = knee;
  const y = Math.log10(thdnAt(curve.readings, power_W));
  if (!Number.isFinite(y)) return [];
  const hint = typeset(`${curve.label}: knee ${powerWithin(power_W, uncertainty_W ?? null)}`);
  return [{ x: Math.log10(power_W), y, hint, label: null }];
}

/** Where a curve, sorted by power, passes a power: drawn between its two neighbours as the eye sees it. */
function thdnAt(readings: readonly Reading[], power_W: number): number {
  const above = readings.findIndex((reading) => reading.power_W >= power_W);
  if (above <= 0) return readings.at(above)?.thdn_percent ?? Number.NaN;
  const [low, high] = [readings[above - 1]!, readings[above]!];
  const share = Math.log(power_W / low.power_W) / Math.log(high.power_W / low.power_W);
  return low.thdn_percent * (high.thdn_percent / low.thdn_percent) ** share;
}

const uncertaintyBand = ({ readings }: Curve, { colour }: LineStyle): Shape => ({
  kind: 'band',
  colour,
  edges: readings.flatMap(({ power_W, thdn_percent, thdn_uncertainty_percent: within }) =>
    within === null
      ? []
      : [
          {
            x: Math.log10(power_W),
            low: Math.log10(Math.max(0, thdn_percent - within)),
            high: Math.log10(thdn_percent + within),
          },
        ],
  ),
});

const crossingBars = (curve: Curve, { colour }: LineStyle): Shape => ({
  kind: 'bars',
  colour,
  spans: crossingsOf(curve).flatMap(({ power_W, uncertainty_W, threshold_percent }) => {
    if (power_W === null || uncertainty_W === null) return [];
    const y = Math.log10(threshold_percent);
    return [
      [
        [Math.log10(power_W - uncertainty_W), y],
        [Math.log10(power_W + uncertainty_W), y],
      ] as const,
    ];
  }),
});

const claimLine = (
  power_W: number,
  { low, high }: { readonly low: number; readonly high: number },
): Shape => ({
  kind: 'rule',
  colour: 'ink',
  through: [
    [Math.log10(power_W), low],
    [Math.log10(power_W), high],
  ],
  dash: [7, 4],
});

/** Above the plot, where no curve runs. */
const claimWords = ({ power_W, words }: ClaimedPower, top: number): Shape => ({
  kind: 'words',
  at: [Math.log10(power_W), top],
  lines: [words],
  anchor: 'middle',
  dy: -9,
});
