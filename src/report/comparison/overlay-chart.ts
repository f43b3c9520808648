import { formatDuration, formatQuantity } from '../../units/format.js';
import { GRID, SIZES, type SizeName } from '../chart/axes.js';
import { drawSvg } from '../chart/draw-svg.js';
import { standIn } from '../chart/palette.js';
import { acrossLines, markSeries, type Series } from '../chart/series.js';
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
  const series: Series[] = [
    ...(thresholds.length > 0 ? [thresholdLines(thresholds)] : []),
    ...lines.map((line, i) => lineSeries(line, i, across, up)),
    ...(rings ? lines.map((line, i) => ringSeries(line, i, across)) : []),
  ];
  const points = lines.flatMap((line) => line.points);
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    option: {
      grid: rings ? GRID : { ...GRID, right: 16 },
      xAxis: axisOf(across, 'bottom', points.map(across.value), size),
      yAxis: axisOf(up, 'left', [...points.map(up.value), ...thresholds], size),
      series: series.map((one) => one.series),
    },
    hint: (index, item) => series[index]?.hints[item] ?? null,
  });
}

function lineSeries(line: OverlayLine, index: number, across: Side, up: Side): Series {
  const { colour, dash, marker, width, hollow } = overlayStyle(line, index);
  const ink = standIn(colour);
  const shown = line.points.filter((point) =>
    [place(across, point), place(up, point)].every(Number.isFinite),
  );
  const stride = Math.ceil(shown.length / MOST_MARKERS);
  return {
    series: {
      type: 'line',
      silent: true,
      symbol: `path://${marker}`,
      symbolSize: hollow ? 6 : 7,
      showAllSymbol: true,
      lineStyle: { color: ink, width, type: dash.length === 0 ? 'solid' : [...dash] },
      itemStyle: hollow ? { color: standIn('paper'), borderColor: ink, borderWidth: 1.2 } : { color: ink },
      data: shown.map((point, i) => ({
        value: [place(across, point), place(up, point)],
        ...(i % stride === 0 ? {} : { symbol: 'none' }),
      })),
    },
    hints: shown.map((point) => `${line.label}: ${timed(across, point)}${pointWords(point)}`),
  };
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
      hint: `${line.label}: ${formatQuantity(power_W, 'W')} at ${formatQuantity(percent, '%')}`,
      label: null,
    })),
    overlayStyle(line, index),
    RING,
  );
