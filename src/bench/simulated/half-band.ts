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
  // An even number, so that the filters can take two pairs at a time.
  const pairs = 2 * Math.ceil((taps + 1) / 8);
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

/** Doubles a sample rate. Delay: K samples of the lower rate, K being the kernel's length. */
export class RateDoubler {
  private readonly weights: Float64Array;
  private readonly window: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.weights = kernel.map((c) => 2 * c);
    this.window = new Float64Array(2 * kernel.length - 1 + mostFrames);
  }

  get delay(): number {
    return this.weights.length;
  }

  /** Reads `frames` samples of `from`, writes twice as many into `to`. */
  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { weights, window } = this;
    const pairs = weights.length;
    const past = 2 * pairs - 1;
    for (let i = 0; i < frames; i += 1) window[past + i] = from[i]!;
    if (pairs === 4) doubleByFour(weights, window, to, frames);
    else doubleByPairs(weights, window, to, frames);
    window.copyWithin(0, frames, frames + past);
  }
}

/** Halves a sample rate. Delay: K - 1 samples of the lower rate, K being the kernel's length. */
export class RateHalver {
  private readonly kernel: Float64Array;
  private readonly even: Float64Array;
  private readonly odd: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.kernel = kernel;
    this.even = new Float64Array(kernel.length - 1 + mostFrames);
    this.odd = new Float64Array(2 * kernel.length - 1 + mostFrames);
  }

  get delay(): number {
    return this.kernel.length - 1;
  }

  /** Writes `frames` samples into `to`, reads twice as many of `from`. The two may be the same array. */
  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { kernel, even, odd } = this;
    const pairs = kernel.length;
    const evenPast = pairs - 1;
    const oddPast = 2 * pairs - 1;
    for (let i = 0; i < frames; i += 1) {
      even[evenPast + i] = from[2 * i]!;
      odd[oddPast + i] = from[2 * i + 1]!;
    }
    if (pairs === 4) halveByFour(kernel, even, odd, to, frames);
    else halveByPairs(kernel, even, odd, to, frames);
    even.copyWithin(0, frames, frames + evenPast);
    odd.copyWithin(0, frames, frames + oddPast);
  }
}

function doubleByPairs(weights: Float64Array, window: Float64Array, to: Float64Array, frames: number): void {
  const pairs = weights.length;
  for (let i = 0; i < frames; i += 1) {
    const left = i + pairs - 1;
    let middle = 0;
    for (let k = 0; k < pairs; k += 2) {
      middle +=
        weights[k]! * (window[left - k]! + window[left + 1 + k]!) +
        weights[k + 1]! * (window[left - 1 - k]! + window[left + 2 + k]!);
    }
    to[2 * i] = window[left]!;
    to[2 * i + 1] = middle;
  }
}

/** The same for four pairs, three times faster: the eight samples in view stay in registers. */
function doubleByFour(weights: Float64Array, window: Float64Array, to: Float64Array, frames: number): void {
  const [a, b, c, d] = [weights[0]!, weights[1]!, weights[2]!, weights[3]!];
  let [s0, s1, s2, s3] = [window[0]!, window[1]!, window[2]!, window[3]!];
  let [s4, s5, s6] = [window[4]!, window[5]!, window[6]!];
  for (let i = 0; i < frames; i += 1) {
    const s7 = window[i + 7]!;
    to[2 * i] = s3;
    to[2 * i + 1] = a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
    s0 = s1;
    s1 = s2;
    s2 = s3;
    s3 = s4;
    s4 = s5;
    s5 = s6;
    s6 = s7;
  }
}

function halveByPairs(
  kernel: Float64Array,
  even: Float64Array,
  odd: Float64Array,
  to: Float64Array,
  frames: number,
): void {
  const pairs = kernel.length;
  for (let i = 0; i < frames; i += 1) {
    const right = i + pairs;
    let sum = 0.5 * even[i]!;
    for (let k = 0; k < pairs; k += 2) {
      sum +=
        kernel[k]! * (odd[right - 1 - k]! + odd[right + k]!) +
        kernel[k + 1]! * (odd[right - 2 - k]! + odd[right + k + 1]!);
    }
    to[i] = sum;
  }
}

/** The same for four pairs. */
function halveByFour(
  kernel: Float64Array,
  even: Float64Array,
  odd: Float64Array,
  to: Float64Array,
  frames: number,
): void {
  const [a, b, c, d] = [kernel[0]!, kernel[1]!, kernel[2]!, kernel[3]!];
  let [s0, s1, s2, s3] = [odd[0]!, odd[1]!, odd[2]!, odd[3]!];
  let [s4, s5, s6] = [odd[4]!, odd[5]!, odd[6]!];
  for (let i = 0; i < frames; i += 1) {
    const s7 = odd[i + 7]!;
    to[i] = 0.5 * even[i]! + a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
    s0 = s1;
    s1 = s2;
    s2 = s3;
    s3 = s4;
    s4 = s5;
    s5 = s6;
    s6 = s7;
  }
}
