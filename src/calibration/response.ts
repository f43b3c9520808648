/** Level of a chain at one frequency, relative to 1 kHz. */
export interface ResponsePoint {
  readonly frequency_Hz: number;
  readonly level_dB: number;
  /** Standard uncertainty of the level. */
  readonly uncertainty_dB: number;
}

/** A frequency response: at least two points, rising in frequency. */
export interface Response {
  readonly points: readonly ResponsePoint[];
}

/** The points of a response as they are written. */
export const responsePoints = (
  points: readonly { frequency: number; level: number; uncertainty: number }[],
): ResponsePoint[] =>
  points.map(({ frequency, level, uncertainty }) => ({
    frequency_Hz: frequency,
    level_dB: level,
    uncertainty_dB: uncertainty,
  }));

/**
 * Level and its standard uncertainty at any frequency: straight in decibels against log frequency between the points,
 * and as at the nearest end beyond them.
 */
export function responseAt({ points }: Response, frequency_Hz: number): Omit<ResponsePoint, 'frequency_Hz'> {
  const after = points.findIndex((point) => point.frequency_Hz >= frequency_Hz);
  if (after === 0) return points[0]!;
  if (after < 0) return points.at(-1)!;
  const [low, high] = [points[after - 1]!, points[after]!];
  const share = Math.log(frequency_Hz / low.frequency_Hz) / Math.log(high.frequency_Hz / low.frequency_Hz);
  const between = (from: number, to: number) => from + share * (to - from);
  return {
    level_dB: between(low.level_dB, high.level_dB),
    uncertainty_dB: between(low.uncertainty_dB, high.uncertainty_dB),
  };
}
