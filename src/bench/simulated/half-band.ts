/**
 * Half-band filters: rate doublers and halvers whose every other coefficient is zero.
 * A kernel is its K distinct odd coefficients, nearest to the centre first; they sum to 1/4, so that
 * a constant passes unchanged.
 */

/**
 * Kaiser-windowed half-band kernel (Kaiser's formulae for window shape and length).
 *
 * @param edge end of the pass band as a share of the higher rate, below 1/4; the stop band begins at 1/2 - edge
 * @param rejection_dB depth of the stop band, above 50
 */
export function kaiserHalfBand(edge: number, rejection_dB: number): Float64Array {
  const transition_rad = 2 * Math.PI * (0.5 - 2 * edge);
  const taps = (rejection_dB - 8) / (2.285 * transition_rad) + 1;
  const pairs = Math.ceil((taps + 1) / 4);
  const beta = 0.1102 * (rejection_dB - 8.7);
  const kernel = Float64Array.from({ length: pairs }, (_, k) => {
    const m = 2 * k + 1;
    const window = besselI0(beta * Math.sqrt(1 - (m / (2 * pairs)) ** 2)) / besselI0(beta);
    return (Math.sin((Math.PI * m) / 2) / (Math.PI * m)) * window;
  });
  return normalised(kernel);
}

/**
 * Maximally flat half-band kernel: Lagrange interpolation at the midpoint of 2K samples. The error is
 * of order sin^2K, so few coefficients serve where the signal fills only the bottom of the band.
 */
export function flatHalfBand(pairs: number): Float64Array {
  const places = Array.from({ length: pairs }, (_, k) => 2 * k + 1).flatMap((m) => [m, -m]);
  const kernel = Float64Array.from({ length: pairs }, (_, k) => {
    const m = 2 * k + 1;
    return places.reduce((product, other) => (other === m ? product : (product * other) / (other - m)), 0.5);
  });
  return normalised(kernel);
}

function normalised(kernel: Float64Array): Float64Array {
  const sum = kernel.reduce((total, c) => total + c, 0);
  return kernel.map((c) => c / (4 * sum));
}

/** Modified Bessel function of the first kind, order zero, by its power series. */
function besselI0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let n = 1; term > 1e-17 * sum; n += 1) {
    term *= (x / (2 * n)) ** 2;
    sum += term;
  }
  return sum;
}

/** Frames must come in whole groups of this many. */
export const GROUP = 4;

/** Doubles a sample rate. Delay: K samples of the lower rate, K being the kernel's length. */
export class RateDoubler {
  readonly delay: number;
  private readonly weights: Float64Array;
  private readonly window: Float64Array;
  private readonly middles: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.delay = kernel.length;
    this.weights = kernel.map((c) => 2 * c);
    this.window = new Float64Array(2 * kernel.length - 1 + mostFrames);
    this.middles = new Float64Array(mostFrames);
  }

  /** Reads `frames` samples of `from`, writes twice as many into `to`. */
  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { window, middles } = this;
    const past = window.length - middles.length;
    const centre = this.delay - 1;
    for (let i = 0; i < frames; i += 1) window[past + i] = from[i]!;
    midpoints(this.weights, window, middles, frames);
    for (let i = 0; i < frames; i += 1) {
      to[2 * i] = window[centre + i]!;
      to[2 * i + 1] = middles[i]!;
    }
    window.copyWithin(0, frames, frames + past);
  }
}

/** Halves a sample rate. Delay: K - 1 samples of the lower rate, K being the kernel's length. */
export class RateHalver {
  readonly delay: number;
  private readonly kernel: Float64Array;
  private readonly even: Float64Array;
  private readonly odd: Float64Array;
  private readonly middles: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.delay = kernel.length - 1;
    this.kernel = kernel;
    this.even = new Float64Array(kernel.length - 1 + mostFrames);
    this.odd = new Float64Array(2 * kernel.length - 1 + mostFrames);
    this.middles = new Float64Array(mostFrames);
  }

  /** Writes `frames` samples into `to`, reads twice as many of `from`. The two may be the same array. */
  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { even, odd, middles } = this;
    const evenPast = even.length - middles.length;
    const oddPast = odd.length - middles.length;
    for (let i = 0; i < frames; i += 1) {
      even[evenPast + i] = from[2 * i]!;
      odd[oddPast + i] = from[2 * i + 1]!;
    }
    midpoints(this.kernel, odd, middles, frames);
    for (let i = 0; i < frames; i += 1) to[i] = 0.5 * even[i]! + middles[i]!;
    even.copyWithin(0, frames, frames + evenPast);
    odd.copyWithin(0, frames, frames + oddPast);
  }
}

/**
 * The sum of weights[k] (window[i + K - 1 - k] + window[i + K + k]) over k, for each i. Four neighbours are
 * worked out together, so that each step outwards loads three numbers and not twelve: this is where most of
 * the bench's time goes.
 */
function midpoints(weights: Float64Array, window: Float64Array, out: Float64Array, frames: number): void {
  const pairs = weights.length;
  const first = weights[0]!;
  for (let i = 0; i < frames; i += GROUP) {
    const left = i + pairs - 1;
    const right = left + GROUP;
    let l0 = window[left]!;
    let l1 = window[left + 1]!;
    let l2 = window[left + 2]!;
    let l3 = window[left + 3]!;
    let r0 = l1;
    let r1 = l2;
    let r2 = l3;
    let r3 = window[right]!;
    let m0 = first * (l0 + r0);
    let m1 = first * (l1 + r1);
    let m2 = first * (l2 + r2);
    let m3 = first * (l3 + r3);
    for (let k = 1; k < pairs; k += 1) {
      const weight = weights[k]!;
      l3 = l2;
      l2 = l1;
      l1 = l0;
      l0 = window[left - k]!;
      r0 = r1;
      r1 = r2;
      r2 = r3;
      r3 = window[right + k]!;
      m0 += weight * (l0 + r0);
      m1 += weight * (l1 + r1);
      m2 += weight * (l2 + r2);
      m3 += weight * (l3 + r3);
    }
    out[i] = m0;
    out[i + 1] = m1;
    out[i + 2] = m2;
    out[i + 3] = m3;
  }
}
