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

/**
 * Doubles a sample rate. Delay: K samples of the lower rate, K being the kernel's length.
 *
 * Whoever has the samples writes them into `window` from `past` on, so that none is copied on its way from stage to stage.
 */
export class RateDoubler {
  readonly delay: number;
  readonly window: Float64Array;
  readonly past: number;
  private readonly weights: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.delay = kernel.length;
    this.weights = kernel.map((c) => 2 * c);
    this.past = 2 * kernel.length - 1;
    this.window = new Float64Array(this.past + mostFrames);
  }

  /** Takes the `frames` samples in the window and writes twice as many into `to`, from `at` on. */
  process(to: Float64Array, at: number, frames: number): void {
    doubled(this.weights, this.window, to, at | 0, frames | 0);
    this.window.copyWithin(0, frames, frames + this.past);
  }
}

/** Halves a sample rate. Delay: K - 1 samples of the lower rate, K being the kernel's length. Its window is as a doubler's. */
export class RateHalver {
  readonly delay: number;
  readonly window: Float64Array;
  readonly past: number;
  private readonly kernel: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.delay = kernel.length - 1;
    this.kernel = kernel;
    this.past = 2 * (2 * kernel.length - 1);
    this.window = new Float64Array(this.past + 2 * mostFrames);
  }

  /** Takes twice `frames` samples in the window and writes `frames` into `to`, from `at` on. */
  process(to: Float64Array, at: number, frames: number): void {
    halved(this.kernel, this.window, to, at | 0, frames | 0);
    this.window.copyWithin(0, 2 * frames, 2 * frames + this.past);
  }
}

/**
 * Each sample, and the sum of weights[k] (window[i + K - 1 - k] + window[i + K + k]) over k behind it. Four neighbours
 * are worked out together, so that each step outwards loads three numbers and not twelve: this is where most of
 * the bench's time goes.
 */
function doubled(weights: Float64Array, window: Float64Array, to: Float64Array, at: number, frames: number) {
  const pairs = weights.length;
  const first = weights[0]!;
  for (let i = 0; i < frames; i += GROUP) {
    const left = i + pairs - 1;
    const right = left + GROUP;
    let l0 = window[left]!;
    let l1 = window[left + 1]!;
    let l2 = window[left + 2]!;
    const l3 = window[left + 3]!;
    let r1 = l2;
    let r2 = l3;
    let r3 = window[right]!;
    const out = at + 2 * i;
    to[out] = l0;
    to[out + 2] = l1;
    to[out + 4] = l2;
    to[out + 6] = l3;
    let m0 = first * (l0 + l1);
    let m1 = first * (l1 + r1);
    let m2 = first * (l2 + r2);
    let m3 = first * (l3 + r3);
    let k = 1;
    for (; k + 1 < pairs; k += 2) {
      const weight = weights[k]!;
      const next = weights[k + 1]!;
      const l = window[left - k]!;
      const r = window[right + k]!;
      const beyondL = window[left - k - 1]!;
      const beyondR = window[right + k + 1]!;
      m0 = m0 + weight * (l + r1) + next * (beyondL + r2);
      m1 = m1 + weight * (l0 + r2) + next * (l + r3);
      m2 = m2 + weight * (l1 + r3) + next * (l0 + r);
      m3 = m3 + weight * (l2 + r) + next * (l1 + beyondR);
      l2 = l0;
      l1 = l;
      l0 = beyondL;
      r1 = r3;
      r2 = r;
      r3 = beyondR;
    }
    if (k < pairs) {
      const weight = weights[k]!;
      m0 += weight * (window[left - k]! + r1);
      m1 += weight * (l0 + r2);
      m2 += weight * (l1 + r3);
      m3 += weight * (l2 + window[right + k]!);
    }
    to[out + 1] = m0;
    to[out + 3] = m1;
    to[out + 5] = m2;
    to[out + 7] = m3;
  }
}

/** The same sums over every other sample of the window, with half of the sample in the middle. */
function halved(weights: Float64Array, window: Float64Array, to: Float64Array, at: number, frames: number) {
  const pairs = weights.length;
  const first = weights[0]!;
  for (let i = 0; i < frames; i += GROUP) {
    const left = 2 * (i + pairs - 1) + 1;
    const right = left + 2 * GROUP;
    let l0 = window[left]!;
    let l1 = window[left + 2]!;
    let l2 = window[left + 4]!;
    const l3 = window[left + 6]!;
    let r1 = l2;
    let r2 = l3;
    let r3 = window[right]!;
    let m0 = first * (l0 + l1);
    let m1 = first * (l1 + r1);
    let m2 = first * (l2 + r2);
    let m3 = first * (l3 + r3);
    let k = 1;
    for (; k + 1 < pairs; k += 2) {
      const weight = weights[k]!;
      const next = weights[k + 1]!;
      const l = window[left - 2 * k]!;
      const r = window[right + 2 * k]!;
      const beyondL = window[left - 2 * k - 2]!;
      const beyondR = window[right + 2 * k + 2]!;
      m0 = m0 + weight * (l + r1) + next * (beyondL + r2);
      m1 = m1 + weight * (l0 + r2) + next * (l + r3);
      m2 = m2 + weight * (l1 + r3) + next * (l0 + r);
      m3 = m3 + weight * (l2 + r) + next * (l1 + beyondR);
      l2 = l0;
      l1 = l;
      l0 = beyondL;
      r1 = r3;
      r2 = r;
      r3 = beyondR;
    }
    if (k < pairs) {
      const weight = weights[k]!;
      m0 += weight * (window[left - 2 * k]! + r1);
      m1 += weight * (l0 + r2);
      m2 += weight * (l1 + r3);
      m3 += weight * (l2 + window[right + 2 * k]!);
    }
    const out = at + i;
    to[out] = 0.5 * window[left + 1]! + m0;
    to[out + 1] = 0.5 * window[left + 3]! + m1;
    to[out + 2] = 0.5 * window[left + 5]! + m2;
    to[out + 3] = 0.5 * window[left + 7]! + m3;
  }
}
