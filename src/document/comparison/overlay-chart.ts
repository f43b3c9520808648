import { formatDuration, formatQuantity } from '../../units/format.js';
import { GRID, SIZES, type SizeName } from '../chart/axes.js';
import { drawSvg } from '../chart/draw-svg.js';
import { acrossLines, lineSeries, markSeries, type Series } from '../chart/series.js';
import { typeset } from '../html/typeset.js';
import type { CurvePoint } from './curve-sets.js';
import { type OverlayLine, pointWords } from './overlay.js';
import { axisOf, place, type Scale } from './overlay-axis.js';
import { overlayStyle } from './overlay-style.js';

/** A quantity along one side of a picture. */
export interface Side {
  /** Name with unit. */
  readonly name: string;
  readonly value: (point: CurvePoint) => number;
  readonly scale: Scale;
}

export interface OverlayChart {
  readonly id: string;
  /** What the picture shows, in words. */
  readonly name: string;
  readonly size: SizeName;
  readonly lines: readonly OverlayLine[];
  readonly across: Side;
  readonly up: Side;
  /** Draw the thresholds that were crossed, with a ring at each crossing: power across, THD+N up. */
  readonly rings: boolean;
}

const RING = 'M-1,0A1,1,0,1,1,1,0A1,1,0,1,1,-1,0Z';
/** Lines with more points than this have a marker on some of them only. */
const MOST_MARKERS = 48;

/** Lines of several runs over each other. */
export function overlayChart({ id, name, size, lines, across, up, rings }: OverlayChart): string {
  const thresholds = rings ? thresholdsOf(lines) : [];
  const points = lines.flatMap((line) => line.points);
  const height = axisOf(up, 'left', [...points.map(up.value), ...thresholds], size);
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    margins: rings ? GRID : { ...GRID, right: 16 },
    across: axisOf(across, 'bottom', points.map(across.value), size),
    up: height,
    series: [
      ...(thresholds.length > 0 ? [thresholdLines(thresholds)] : []),
      ...lines.map((line, i) => seriesOf(line, i, { across, up, low: height.low })),
      ...(rings ? lines.map((line, i) => ringSeries(line, i, across)) : []),
    ],
  });
}

interface Sides {
  readonly across: Side;
  readonly up: Side;
  /** Where the upward axis begins: what lies below is not marked. */
  readonly low: number;
}

function seriesOf(line: OverlayLine, index: number, { across, up, low }: Sides): Series {
  const { hollow, ...style } = overlayStyle(line, index);
  const spots = line.points.map((point) => {
    const y = place(up, point);
    const which = line.label.endsWith(`channel ${point.channel}`) ? '' : `channel ${point.channel}, `;
    const words = `${line.label}: ${which}${timed(across, point)}${pointWords(point)}`;
    return { x: place(across, point), y, hint: y < low ? null : words, doubtful: hollow };
  });
  return lineSeries(spots, { ...style, radius: hollow ? 3 : 3.5 }, MOST_MARKERS);
}

const timed = ({ name }: Side, { at_s }: CurvePoint): string =>
  name.startsWith('Time') ? `${formatDuration(at_s)}, ` : '';

const thresholdsOf = (lines: readonly OverlayLine[]): number[] => [
  ...new Set(lines.flatMap(({ crossings }) => crossings.map(({ percent }) => percent))),
];

const thresholdLines = (thresholds: readonly number[]): Series =>
  acrossLines(thresholds.map((percent) => ({ y: Math.log10(percent), name: formatQuantity(percent, '%') })));

const ringSeries = (line: OverlayLine, index: number, { scale }: Side): Series =>
  markSeries(
    line.crossings.map(({ power_W, percent }) => ({
      x: scale === 'log' ? Math.log10(power_W) : power_W,
      y: Math.log10(percent),
      hint: `${line.label}: ${typeset(`${formatQuantity(power_W, 'W')} at ${formatQuantity(percent, '%')}`)} THD+N`,
      label: null,
    })),
    overlayStyle(line, index),
    RING,
  );
