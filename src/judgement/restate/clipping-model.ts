/**
 * How much more power a unit gives when more distortion is allowed, by two models that real units lie between: the
 * ideal hard clipper, which gains least, and a cubic curve y = x - a x^3, which gains most. Closed forms of the
 * Fourier series of a clipped sine and of a cubed one (derived for the facts sheet of this project, section 8).
 */

/** Beyond 11.1 % the cubic has bent over (u = 1/3) and no longer describes an amplifier. */
export const MODEL_MOST_PERCENT = 11;
/** Harmonics that a meter of 20 kHz bandwidth sees of 1 kHz. */
const HARMONICS_SEEN = 20;
const MOST_OVERDRIVE = 3;

/** Root of the summed squares of harmonics 3, 5 ... up to `last` of a sine of peak k clipped at 1, over the first. */
function harmonicRatio(k: number, last: number): number {
  const angle = Math.asin(1 / k);
  let squares = 0;
  let below = Math.sin(2 * angle) / 2;
  for (let n = 3; n <= last; n += 2) {
    const above = Math.sin((n + 1) * angle) / (n + 1);
    squares += (((2 * k) / (Math.PI * n)) * (below + above)) ** 2;
    below = above;
  }
  return Math.sqrt(squares) / fundamental(k);
}

const fundamental = (k: number): number => (2 / Math.PI) * (k * Math.asin(1 / k) + Math.sqrt(1 - 1 / k ** 2));

/** Power of the clipped sine over that at the onset of clipping: twice its mean square. */
function clippedPower(k: number): number {
  const angle = Math.asin(1 / k);
  const corner = Math.sqrt(1 - 1 / k ** 2);
  return (2 * (k * k * angle - k * corner + Math.PI - 2 * angle)) / Math.PI;
}

const distortionOfAll = (k: number): number =>
  Math.sqrt(Math.max(0, clippedPower(k) - fundamental(k) ** 2)) / fundamental(k);

/** Power over that at the onset at which a hard clipper has this distortion. */
function clipperPower(percent: number, distortion: (k: number) => number): number {
  let [low, high] = [1, MOST_OVERDRIVE];
  for (let i = 0; i < 60; i += 1) {
    const middle = (low + high) / 2;
    if (100 * distortion(middle) < percent) low = middle;
    else high = middle;
  }
  return clippedPower((low + high) / 2);
}

/** Power of the cubic curve's fundamental, in units of its own: u (1 - 3u/4)^2 with u = 4d / (1 + 3d). */
function cubicPower(percent: number): number {
  const d = percent / 100;
  const u = (4 * d) / (1 + 3 * d);
  return u * (1 - 0.75 * u) ** 2;
}

/** Ratios of the power at one distortion to that at another, by model. */
export interface PowerGain {
  /** Ideal hard clipper, every harmonic counted. */
  readonly hard: number;
  /** The least and the most of all models. */
  readonly range: readonly [number, number];
}

/**
 * The power at `to_percent` over the power at `from_percent`; below 1 when the second is lower.
 *
 * @param from_percent above 0, at most `MODEL_MOST_PERCENT`, as `to_percent`
 */
export function powerGainBetween(from_percent: number, to_percent: number): PowerGain {
  const ratio = (power: (percent: number) => number) => power(to_percent) / power(from_percent);
  const hard = ratio((percent) => clipperPower(percent, distortionOfAll));
  const seen = ratio((percent) => clipperPower(percent, (k) => harmonicRatio(k, HARMONICS_SEEN)));
  const soft = ratio(cubicPower);
  return { hard, range: [Math.min(hard, seen, soft), Math.max(hard, seen, soft)] };
}

/**
 * The least by which the power grows from a measured distortion to a limit above it: no unit clips more abruptly than
 * the ideal hard clipper. 1 when the limit is not above it, or beyond the model.
 */
export function leastGain(from_percent: number, to_percent: number): number {
  if (to_percent <= from_percent) return 1;
  const [low, high] = [Math.max(from_percent, 0), Math.min(to_percent, MODEL_MOST_PERCENT)];
  if (low >= high) return 1;
  const grow = (distortion: (k: number) => number) =>
    clipperPower(high, distortion) / clipperPower(low, distortion);
  return Math.max(
    1,
    Math.min(
      grow(distortionOfAll),
      grow((k) => harmonicRatio(k, HARMONICS_SEEN)),
    ),
  );
}
