/** Marks of an axis that is drawn in decades. Positions are log10 of the value. */
export interface LogAxis {
  readonly low: number;
  readonly high: number;
  /** Where grid lines stand: at 1, 2 and 5 of each decade. */
  readonly grid: readonly number[];
  /** Which of them carry a number. */
  readonly labelled: readonly number[];
}

export interface LogAxisOptions {
  /** Least number of decades shown. */
  readonly least?: number;
  /** Axes with more decades than this are numbered at the decades only. */
  readonly dense?: number;
  /** Share of the length left free at either end; without it the axis ends at 1, 2 or 5 of a decade. */
  readonly margin?: number;
}

/**
 * Lays out a logarithmic axis for positive values; others are left out. Without any value it spans 1 to 10.
 */
export function logAxis(
  values: readonly number[],
  { least = 1, dense = 2.5, margin }: LogAxisOptions = {},
): LogAxis {
  const logs = values.filter((value) => value > 0 && Number.isFinite(value)).map(Math.log10);
  const lowest = logs.reduce((a, b) => Math.min(a, b), logs[0] ?? 0);
  const highest = logs.reduce((a, b) => Math.max(a, b), logs[0] ?? 1);
  const spare = Math.max(0, least - (highest - lowest)) / 2;
  const free = (margin ?? 0) * Math.max(least, highest - lowest);
  const from = lowest - spare - free;
  const to = highest + spare + free;
  const steps = stepsBetween(Math.floor(from) - 1, Math.ceil(to) + 1);
  const low = margin === undefined ? steps.findLast((step) => step <= from + 1e-9)! : from;
  const high = margin === undefined ? steps.find((step) => step >= to - 1e-9)! : to;
  const grid = steps.filter((step) => step >= low && step <= high);
  const decades = grid.filter((step) => Number.isInteger(step));
  return { low, high, grid, labelled: high - low > dense && decades.length > 1 ? decades : grid };
}

function stepsBetween(low: number, high: number): number[] {
  return Array.from({ length: high - low + 1 }, (_, i) => low + i).flatMap((decade) => [
    decade,
    decade + Math.log10(2),
    decade + Math.log10(5),
  ]);
}

/** Marks of a linear axis from zero to a little above the largest value, at round numbers. */
export function linearAxis(values: readonly number[]): {
  readonly high: number;
  readonly grid: readonly number[];
} {
  const most = values.filter(Number.isFinite).reduce((a, b) => Math.max(a, b), 0) || 1;
  const rough = (most * 1.08) / 5;
  const decade = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].map((n) => n * decade).find((candidate) => candidate >= rough)!;
  const count = Math.ceil((most * 1.04) / step);
  return { high: count * step, grid: Array.from({ length: count + 1 }, (_, i) => i * step) };
}
