import { axis, GRID, logarithmic, printLogHz, SIZES, type SizeName } from './axes.js';
import { drawSvg } from './draw-svg.js';
import { lineStyle, strokeOf } from './line-style.js';
import { standIn } from './palette.js';
import type { Series } from './series.js';
import { linearAxis, logAxis } from './ticks.js';

/** One place of a line, with what a pointer resting on it shows. */
export interface PlainPoint {
  readonly x: number;
  readonly y: number;
  readonly hint: string;
  /** It may not lie where it is drawn: its marker is hollow. */
  readonly doubtful?: boolean;
}

export interface PlainLine {
  readonly points: readonly PlainPoint[];
}

export interface PlainChart {
  readonly id: string;
  /** What the picture shows, in words. */
  readonly name: string;
  readonly size: SizeName;
  readonly lines: readonly PlainLine[];
  /** Name with unit, and `log` for frequencies in decades. */
  readonly across: { readonly name: string; readonly scale: 'linear' | 'log' };
  /** Name with unit; `zero`: from zero upwards, `tight`: around the values. */
  readonly up: { readonly name: string; readonly from: 'zero' | 'tight' };
}

/** Lines with more points than this have a marker on some of them only. */
const MOST_MARKERS = 48;
const MARKER = 7;

/** Lines through points that are no readings of one climb or sweep: ceilings, the course of a hold, what a probe said. */
export function plainChart({ id, name, size, lines, across, up }: PlainChart): string {
  const place = ({ x, y }: PlainPoint) => [across.scale === 'log' ? Math.log10(x) : x, y];
  const all = lines.map(({ points }, i) => seriesOf(points, i, place));
  const points = lines.flatMap((line) => line.points);
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    option: {
      grid: { ...GRID, right: 16 },
      xAxis: acrossAxis(points, across, size),
      yAxis: upAxis(points, up),
      series: all.map(({ series }) => series),
    },
    hint: (series, item) => all[series]?.hints[item] ?? null,
  });
}

function acrossAxis(points: readonly PlainPoint[], { name, scale }: PlainChart['across'], size: SizeName) {
  const values = points.map(({ x }) => x);
  if (scale === 'log') {
    const marks = logAxis(values, { margin: 0.02, dense: size === 'narrow' ? 2.5 : 4 });
    return logarithmic({ ...marks, name, side: 'bottom' }, printLogHz);
  }
  const { high, grid } = linearAxis(values);
  return axis({ name, side: 'bottom', low: 0, high, grid, labelled: grid, print });
}

function upAxis(points: readonly PlainPoint[], { name, from }: PlainChart['up']) {
  const values = points.map(({ y }) => y);
  const { low, high, grid } = from === 'zero' ? { low: 0, ...linearAxis(values) } : tightAxis(values);
  return axis({ name, side: 'left', low, high, grid, labelled: grid, print });
}

/** Round marks around values that lie close together. */
function tightAxis(values: readonly number[]): { low: number; high: number; grid: number[] } {
  const finite = values.filter(Number.isFinite);
  const [least, most] = finite.reduce<[number, number]>(
    ([a, b], value) => [Math.min(a, value), Math.max(b, value)],
    [finite[0] ?? 0, finite[0] ?? 1],
  );
  const span = Math.max(most - least, 0.02 * Math.abs(most), 1e-3);
  const decade = 10 ** Math.floor(Math.log10(span / 4));
  const step = [1, 2, 2.5, 5, 10].map((n) => n * decade).find((one) => one >= span / 4)!;
  const first = Math.floor(least / step - 1e-9);
  const last = Math.ceil(most / step + 1e-9);
  const grid = Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step);
  return { low: grid[0]!, high: grid.at(-1)!, grid };
}

const print = (value: number): string => String(Number(value.toPrecision(4)));

function seriesOf(
  points: readonly PlainPoint[],
  index: number,
  place: (point: PlainPoint) => readonly number[],
): Series {
  const style = lineStyle(index);
  const colour = standIn(style.colour);
  const stride = Math.ceil(points.length / MOST_MARKERS);
  return {
    series: {
      type: 'line',
      silent: true,
      symbol: `path://${style.marker}`,
      symbolSize: MARKER,
      showAllSymbol: true,
      lineStyle: strokeOf(style),
      itemStyle: { color: colour },
      data: points.map((point, i) => ({
        value: place(point),
        ...(i % stride === 0 ? {} : { symbol: 'none' }),
        ...(point.doubtful
          ? { itemStyle: { color: standIn('paper'), borderColor: colour, borderWidth: 1.5 } }
          : {}),
      })),
    },
    hints: points.map(({ hint }) => hint),
  };
}
