/** What a bench reads of itself, output looped to input, at one frequency and one input level. */
export interface FloorPoint {
  readonly frequency_Hz: number;
  /** Level at the input, dB relative to digital full scale. */
  readonly level_dB: number;
  readonly thdn_percent: number;
}

/** A figure written down by hand, the same everywhere, or a table measured over frequency and level. */
export type Floor =
  | { readonly kind: 'stated'; readonly thdn_percent: number }
  | { readonly kind: 'measured'; readonly points: readonly FloorPoint[] };

/**
 * THD+N of the bench itself at a frequency and an input level, percent.
 *
 * Between measured frequencies and levels it goes straight in log THD+N against log frequency and decibels. Below the
 * lowest level measured the noise is taken to stay as it is, so THD+N rises in proportion as the level falls; beyond
 * the other edges of the table the nearest point counts.
 */
export function floorAt(floor: Floor, frequency_Hz: number, level_dB: number): number {
  if (floor.kind === 'stated') return floor.thdn_percent;
  const frequencies = [...new Set(floor.points.map((point) => point.frequency_Hz))].sort((a, b) => a - b);
  const curve = frequencies.map((frequency) => ({
    x: Math.log(frequency),
    y: levelCurve(
      floor.points.filter((point) => point.frequency_Hz === frequency),
      level_dB,
    ),
  }));
  return Math.exp(along(curve, Math.log(frequency_Hz)));
}

/** The least THD+N that the bench can see at any frequency and level, percent. */
export function leastFloor(floor: Floor): number {
  return floor.kind === 'stated'
    ? floor.thdn_percent
    : Math.min(...floor.points.map((point) => point.thdn_percent));
}

/** log THD+N at one frequency. */
function levelCurve(points: readonly FloorPoint[], level_dB: number): number {
  const curve = points
    .map((point) => ({ x: point.level_dB, y: Math.log(point.thdn_percent) }))
    .sort((a, b) => a.x - b.x);
  const lowest = curve[0]!;
  const noise = level_dB < lowest.x ? ((lowest.x - level_dB) * Math.LN10) / 20 : 0;
  return along(curve, level_dB) + noise;
}

/** Height of a polygon of rising x, level beyond its ends. */
function along(curve: readonly { readonly x: number; readonly y: number }[], x: number): number {
  const after = curve.findIndex((point) => point.x >= x);
  if (after === 0) return curve[0]!.y;
  if (after < 0) return curve.at(-1)!.y;
  const [low, high] = [curve[after - 1]!, curve[after]!];
  return low.y + ((x - low.x) / (high.x - low.x)) * (high.y - low.y);
}
