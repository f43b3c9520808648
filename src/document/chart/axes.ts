import type { LogAxis } from './ticks.js';

/** The sizes that a figure is drawn in; the page shows the one that fits. */
export const SIZES = {
  narrow: { width: 360, height: 320 },
  middle: { width: 500, height: 350 },
  wide: { width: 860, height: 440 },
} as const;

export type SizeName = keyof typeof SIZES;

/** Pixels between the edges of a drawing and its plot. */
export interface Margins {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Room for the numbers of the axes, and at the right for the names of lines across the plot. */
export const GRID: Margins = { left: 54, right: 50, top: 34, bottom: 46 };

/** A side of a plot: hairlines at `grid`, numbers at `labelled`, all in positions along the axis. */
export interface Axis {
  readonly name: string;
  readonly side: 'bottom' | 'left';
  readonly low: number;
  readonly high: number;
  readonly grid: readonly number[];
  readonly labelled: readonly number[];
  readonly print: (position: number) => string;
}

/** A linear axis: positions are values. */
export const axis = (parts: Axis): Axis => parts;

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
): Axis => ({ ...parts, print });
