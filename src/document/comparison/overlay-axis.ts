import { axis, logarithmic, printLogHz, type SizeName } from '../chart/axes.js';
import { linearAxis, logAxis } from '../chart/ticks.js';
import type { CurvePoint } from './curve-sets.js';
import type { Side } from './overlay-chart.js';

/**
 * `log`: decades of power or distortion; `log-frequency`: of frequency; `zero`: from zero upwards; `near`: around the
 * values, so that units which are much alike can be told apart.
 */
export type Scale = 'log' | 'log-frequency' | 'zero' | 'near';

/** A figure more than this many decades below the greatest is nothing that a bench can see: it leaves the picture. */
const MOST_DECADES = 6;

/** Where a point lies along a side; log10 of the value where the side is in decades. */
export const place = ({ scale, value }: Side, point: CurvePoint): number =>
  scale.startsWith('log') ? Math.log10(value(point)) : value(point);

/** The axis of a side that spans these values. */
export function axisOf(
  { name, scale }: Side,
  side: 'bottom' | 'left',
  values: readonly number[],
  size: SizeName,
) {
  if (scale === 'zero' || scale === 'near') {
    const { low, high, grid } = scale === 'zero' ? { low: 0, ...linearAxis(values) } : nearAxis(values);
    return axis({ name, side, low, high, grid, labelled: grid, print });
  }
  const most = values.filter(Number.isFinite).reduce((a, b) => Math.max(a, b), 0);
  const seen = values.filter((value) => value >= most / 10 ** MOST_DECADES);
  if (side === 'left') return logarithmic({ ...logAxis(seen, { dense: 1.4 }), name, side });
  const marks = logAxis(seen, { margin: 0.02, dense: size === 'narrow' ? 1.9 : 4 });
  return scale === 'log-frequency'
    ? logarithmic({ ...marks, name, side }, printLogHz)
    : logarithmic({ ...marks, name, side });
}

const print = (value: number): string => String(Number(value.toPrecision(4)));

/** Round marks from a little below the least value to a little above the greatest. */
function nearAxis(values: readonly number[]): { low: number; high: number; grid: number[] } {
  const finite = values.filter(Number.isFinite);
  const least = finite.reduce((a, b) => Math.min(a, b), finite[0] ?? 0);
  const most = finite.reduce((a, b) => Math.max(a, b), finite[0] ?? 1);
  const span = Math.max(most - least, 0.01 * Math.abs(most), 1e-6);
  const decade = 10 ** Math.floor(Math.log10(span / 4));
  const step = [1, 2, 2.5, 5, 10].map((n) => n * decade).find((one) => one >= span / 4)!;
  const first = Math.floor((least - 0.1 * span) / step);
  const last = Math.ceil((most + 0.1 * span) / step);
  const grid = Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step);
  return { low: grid[0]!, high: grid.at(-1)!, grid };
}
