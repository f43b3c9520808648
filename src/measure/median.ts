/** Median; 0 for no values. */
export function median(values: Float64Array | readonly number[]): number {
  const sorted = Float64Array.from(values).sort();
  const middle = sorted.length >> 1;
  if (sorted.length === 0) return 0;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

/** Median of the absolute distances from `centre`: a spread that a few outliers do not move. */
export function medianDistance(values: Float64Array | readonly number[], centre: number): number {
  return median(Array.from(values, (value) => Math.abs(value - centre)));
}
