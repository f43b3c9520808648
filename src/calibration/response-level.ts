/**
 * Level at 1 kHz of points that rise in frequency and include or bracket it, straight in decibels against log
 * frequency.
 */
export function levelAt1kHz(
  points: readonly { readonly frequency_Hz: number; readonly level_dB: number }[],
): number {
  const after = points.findIndex(({ frequency_Hz }) => frequency_Hz >= 1000);
  const high = points[after]!;
  if (high.frequency_Hz === 1000) return high.level_dB;
  const low = points[after - 1]!;
  const share = Math.log(1000 / low.frequency_Hz) / Math.log(high.frequency_Hz / low.frequency_Hz);
  return low.level_dB + share * (high.level_dB - low.level_dB);
}
