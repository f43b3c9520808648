import { axis, GRID, logarithmic, printLogHz, SIZES, type SizeName } from './axes.js';
import { drawSvg } from './draw-svg.js';
import { lineStyle } from './line-style.js';
import { lineSeries } from './series.js';
import type { Shape } from './shapes.js';
import { linearAxis, logAxis } from './ticks.js';

/** One place of a line, with what a pointer resting on it shows. */
export interface PlainPoint {
  readonly x: number;
  readonly y: number;
  readonly hint: string;
  /** It may not lie where it is drawn: its marker is hollow. */
  readonly doubtful?: boolean;
  /** How far it may lie up or down, in units of y; null: not stated. */
  readonly within?: number | null;
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
  /** Heights with a meaning of their own, such as a claimed power. */
  readonly levels?: readonly { readonly y: number; readonly words: string }[];
  /** Numbers of notes below the chart, at the points that they are about. */
  readonly over?: readonly {
    readonly x: number;
    readonly y: number;
    readonly text: string;
    readonly hint: string;
  }[];
}

/** Lines with more points than this have a marker on some of them only. */
const MOST_MARKERS = 48;

/** Lines through points that are no readings of one climb or sweep: ceilings, the course of a hold, what a probe said. */
export function plainChart({
  id,
  name,
  size,
  lines,
  across,
  up,
  levels = [],
  over = [],
}: PlainChart): string {
  const along = ({ x }: PlainPoint) => (across.scale === 'log' ? Math.log10(x) : x);
  const points = lines.flatMap((line) => line.points);
  const upright = upAxis(points, levels, up);
  const side = acrossAxis(points, across, size);
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    margins: { ...GRID, right: 16 },
    across: side,
    up: upright,
    under: [
      ...levels.map(
        ({ y }): Shape => ({
          kind: 'rule',
          colour: 'ink',
          through: [
            [side.low, y],
            [side.high, y],
          ],
          dash: [7, 4],
        }),
      ),
      ...lines.map((line, i) => barsOf(line, i, along)),
    ],
    series: lines.map((line, i) =>
      lineSeries(
        line.points.map((point) => ({ ...point, x: along(point) })),
        lineStyle(i),
        MOST_MARKERS,
      ),
    ),
    over: [
      ...levels.map(
        ({ y, words }): Shape => ({
          kind: 'words',
          at: [side.high, y],
          lines: [words],
          anchor: 'end',
          dx: -4,
          dy: -9,
        }),
      ),
      ...over.map(
        ({ x, y, text, hint }): Shape => ({
          kind: 'number',
          at: [across.scale === 'log' ? Math.log10(x) : x, y],
          text,
          hint,
        }),
      ),
    ],
  });
}

/** How far each point may lie up or down. */
const barsOf = ({ points }: PlainLine, index: number, along: (point: PlainPoint) => number): Shape => ({
  kind: 'bars',
  colour: lineStyle(index).colour,
  spans: points.flatMap((point) => {
    if (!point.within) return [];
    const x = along(point);
    return [
      [
        [x, point.y - point.within],
        [x, point.y + point.within],
      ] as const,
    ];
  }),
});

function acrossAxis(points: readonly PlainPoint[], { name, scale }: PlainChart['across'], size: SizeName) {
  const values = points.map(({ x }) => x);
  if (scale === 'log') {
    const marks = logAxis(values, { margin: 0.02, dense: size === 'narrow' ? 2.5 : 4 });
    return logarithmic({ ...marks, name, side: 'bottom' }, printLogHz);
  }
  // Time ends where the readings end.
  const high = Math.max(...values.filter(Number.isFinite), 0) || 1;
  const grid = linearAxis(values).grid.filter((at) => at <= high * (1 + 1e-9));
  return axis({ name, side: 'bottom', low: 0, high, grid, labelled: grid, print });
}

function upAxis(
  points: readonly PlainPoint[],
  levels: NonNullable<PlainChart['levels']>,
  { name, from }: PlainChart['up'],
) {
  const values = [...points, ...levels].flatMap((point) => {
    const within = 'within' in point ? (point.within ?? 0) : 0;
    return [point.y - within, point.y + within];
  });
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
  const middle = (least + most) / 2;
  const first = Math.floor(Math.min(least, middle - span / 2) / step - 1e-9);
  const last = Math.ceil(Math.max(most, middle + span / 2) / step + 1e-9);
  const grid = Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step);
  return { low: grid[0]!, high: grid.at(-1)!, grid };
}

const print = (value: number): string => String(Number(value.toPrecision(4)));
