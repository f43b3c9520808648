/** One point of a curve of distortion against power, for one channel. */
export interface CurvePoint {
  readonly power_W: number;
  readonly thdn_percent: number;
}

/** Where a curve crosses a threshold. */
export interface Crossing {
  readonly power_W: number;
  /** Width in power of the pair of points that it lies between. */
  readonly bracket_dB: number;
}

/** A distortion of exactly 0 has no logarithm; nothing real is below this. */
const LEAST_PERCENT = 1e-12;

/**
 * The last upward crossing of a distortion threshold on the way up in power, by straight line in log
 * power against log distortion. A curve that only falls through the threshold, as noise makes it at low
 * level, does not cross it; nor does one that lies above it from the start.
 *
 * @param points in any order; powers and distortions above 0, others are left out
 */
export function lastCrossing(points: readonly CurvePoint[], threshold_percent: number): Crossing | null {
  const rising = byPower(points);
  for (let i = rising.length - 2; i >= 0; i--) {
    const [below, above] = [rising[i]!, rising[i + 1]!];
    if (below.thdn_percent >= threshold_percent || above.thdn_percent < threshold_percent) continue;
    const low = Math.log(Math.max(below.thdn_percent, LEAST_PERCENT));
    const share = (Math.log(threshold_percent) - low) / (Math.log(above.thdn_percent) - low);
    const ratio = above.power_W / below.power_W;
    return { power_W: below.power_W * ratio ** share, bracket_dB: 10 * Math.log10(ratio) };
  }
  return null;
}

/** The points that have a logarithm of power, in order of power. */
export function byPower<P extends CurvePoint>(points: readonly P[]): P[] {
  return points
    .filter(({ power_W, thdn_percent }) => power_W > 0 && thdn_percent >= 0)
    .sort((a, b) => a.power_W - b.power_W);
}
