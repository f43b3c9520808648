import { standIn } from './palette.js';
import type { LogAxis } from './ticks.js';

/** The sizes that a figure is drawn in; the page shows the one that fits. */
export const SIZES = {
  narrow: { width: 360, height: 320 },
  middle: { width: 500, height: 350 },
  wide: { width: 860, height: 440 },
} as const;

export type SizeName = keyof typeof SIZES;

const FONT = 12;

/** Room for the numbers of the axes, and at the right for the names of lines across the plot. */
export const GRID = { left: 54, right: 50, top: 34, bottom: 46, outerBoundsMode: 'none' as const };

interface AxisParts {
  readonly name: string;
  readonly side: 'bottom' | 'left';
  readonly low: number;
  readonly high: number;
  readonly grid: readonly number[];
  readonly labelled: readonly number[];
  readonly print: (position: number) => string;
}

/** An axis of the chart library with hairlines at `grid` and numbers at `labelled`. */
export function axis({ name, side, low, high, grid, labelled, print }: AxisParts) {
  const bottom = side === 'bottom';
  return {
    type: 'value',
    min: low,
    max: high,
    name,
    nameLocation: bottom ? 'middle' : 'end',
    nameGap: bottom ? 28 : 12,
    nameTextStyle: {
      color: standIn('soft'),
      fontSize: FONT,
      align: bottom ? 'center' : 'left',
      padding: bottom ? 0 : [0, 0, 0, 2 - GRID.left],
    },
    axisLine: { show: bottom, onZero: false, lineStyle: { color: standIn('soft'), width: 1 } },
    axisTick: { show: false, customValues: [...grid] },
    splitLine: { show: true, lineStyle: { color: standIn('grid'), width: 1 } },
    axisLabel: {
      color: standIn('soft'),
      fontSize: FONT,
      margin: 7,
      customValues: [...labelled],
      formatter: print,
      hideOverlap: true,
    },
  };
}

/** A plain number without exponent, for positions in log10. */
export const printLog = (position: number): string => String(Number((10 ** position).toPrecision(2)));

/** A frequency without its unit: `20`, `500`, `2k`. */
export function printLogHz(position: number): string {
  const value = Number((10 ** position).toPrecision(2));
  return value >= 1000 ? `${value / 1000}k` : String(value);
}

/** A logarithmic axis; `name` carries the unit. */
export const logarithmic = (
  parts: LogAxis & { readonly name: string; readonly side: 'bottom' | 'left' },
  print: (position: number) => string = printLog,
) => axis({ ...parts, print });
