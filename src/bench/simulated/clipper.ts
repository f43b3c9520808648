import type { OutputLimits } from './draw.js';

/**
 * Below this share of a limit nothing is looked at closely: between two samples a 20 kHz wave bulges by
 * 1 - cos(pi 20 kHz / 384 kHz), 1.3 %.
 */
const CLEAR = 0.98;

/** Samples before `to` that are not finished yet when `process` returns; as many before `from` must still be there. */
export const CLIPPER_DELAY = 6;

/** An excess leaves its last trace this many samples later. */
const STEPS_TO_REST = 5;

/**
 * The limits of an output stage, hard or with a rounded knee.
 *
 * Sampling a clipped wave folds its harmonics into the band, so the excess over the limit is not
 * sampled but averaged over time with a triangular weight two samples wide: where the wave crosses the
 * limit in closed form for one that runs straight between points a quarter of a sample apart (first moments
 * of a hinge), elsewhere by Simpson's rule; the points between samples by Lagrange interpolation. The droop of
 * that average, sinc^2, is taken out again to fourth order. A wave inside the limits passes untouched.
 *
 * The knee of softness w rounds the corner over (1 - w) to (1 + w) times the limit by a parabola: the
 * hard corner averaged over that stretch.
 */
export class Clipper {
  /** Over the samples that the last call of `process` finished: their sum, that of their sizes and of their squares. */
  sum = 0;
  magnitude = 0;
  square = 0;
  /** Part of the last interval's excess that belongs to its later end; averaged excess one and two samples ago. */
  private carry = 0;
  private excess1 = 0;
  private excess2 = 0;
  /** Corrections that wait until the interpolation no longer needs the untouched wave. */
  private waiting1 = 0;
  private waiting2 = 0;
  /** Steps until all of the above is zero again. */
  private pending = 0;
  private wasNear = false;
  /** Below and above what nothing is near a limit in the stretch at hand, and the limits themselves at one sample. */
  private readonly clear = new Float64Array(2);
  private readonly limit = new Float64Array(2);
  /** Share of the interval at hand that belongs to its start, and to its end. */
  private readonly shares = new Float64Array(2);
  /** Excess at the ends and quarters of the interval. */
  private readonly quarters = new Float64Array(5);

  /** @param softness half-width of the knee as a share of the limit, 0 for a hard corner */
  constructor(private readonly softness: number) {}

  /**
   * Takes in samples `from` to `to - 1`, and finishes those from `from - CLIPPER_DELAY` to `to - 1 - CLIPPER_DELAY`, in place.
   * These are summed up in the same pass: a pass of its own would cost as much as all the rest does on an unclipped wave.
   */
  process(wave: Float64Array, from: number, to: number, limits: OutputLimits): void {
    const { high, low, highStep, lowStep } = limits;
    const { clear } = this;
    const span = to - from;
    const share = CLEAR - this.softness;
    clear[0] = share * Math.min(high, high + span * highStep);
    clear[1] = share * Math.max(low, low + span * lowStep);
    this.sum = 0;
    this.magnitude = 0;
    this.square = 0;
    let next = from | 0;
    while (next < to) {
      if (this.pending === 0 && !this.wasNear) next = this.skim(wave, next, to) | 0;
      if (next < to) next = this.clip(wave, next, from, to, limits) | 0;
    }
  }

  /** Sums up as long as nothing comes near a limit; returns the first sample at which something does. */
  private skim(wave: Float64Array, from: number, to: number): number {
    const high = this.clear[0]!;
    const low = this.clear[1]!;
    let { sum, magnitude, square } = this;
    let i = from | 0;
    for (; i < to; i += 1) {
      const end = wave[i - 2]!;
      if (end > high || end < low) break;
      const finished = wave[i - 6]!;
      sum += finished;
      magnitude += Math.abs(finished);
      square += finished * finished;
    }
    this.sum = sum;
    this.magnitude = magnitude;
    this.square = square;
    return i;
  }

  /** Clips samples from `first` on, until the wave is clear of the limits again; returns the first that is left. */
  private clip(
    wave: Float64Array,
    first: number,
    from: number,
    to: number,
    { high, low, highStep, lowStep }: OutputLimits,
  ): number {
    const { shares, limit } = this;
    const clearHigh = this.clear[0]!;
    const clearLow = this.clear[1]!;
    let { carry, excess1, excess2, waiting1, waiting2, pending, wasNear, sum, magnitude, square } = this;
    let i = first | 0;
    do {
      // The interval at hand runs from sample i - 3 to i - 2.
      const end = wave[i - 2]!;
      const isNear = end > clearHigh || end < clearLow;
      let excess = carry;
      carry = 0;
      if (isNear || wasNear) {
        limit[0] = high + (i - from) * highStep;
        limit[1] = low + (i - from) * lowStep;
        this.split(wave, i);
        excess += shares[0]!;
        carry = shares[1]!;
        pending = STEPS_TO_REST;
        wasNear = isNear;
      } else pending -= 1;
      const finished = wave[i - 6]! + waiting2;
      wave[i - 6] = finished;
      waiting2 = waiting1;
      // The correction of sample i - 4: its neighbours sharpen the average.
      waiting1 = (excess - 14 * excess1 + excess2) / 12;
      excess2 = excess1;
      excess1 = excess;
      sum += finished;
      magnitude += Math.abs(finished);
      square += finished * finished;
      i += 1;
    } while (i < to && (wasNear || pending > 0));
    this.carry = carry;
    this.excess1 = excess1;
    this.excess2 = excess2;
    this.waiting1 = waiting1;
    this.waiting2 = waiting2;
    this.pending = pending;
    this.wasNear = wasNear;
    this.sum = sum;
    this.magnitude = magnitude;
    this.square = square;
    return i;
  }

  /** Shares out what the interval from sample i - 3 to i - 2 has in excess between its start and its end. */
  private split(wave: Float64Array, i: number): void {
    const { shares } = this;
    const start = wave[i - 3]!;
    const end = wave[i - 2]!;
    const sum = start + end;
    const sign = sum > 0 ? 1 : -1;
    const limit = sum > 0 ? this.limit[0]! : -this.limit[1]!;
    const width = this.softness * limit;
    const middle = (150 * sum - 25 * (wave[i - 1]! + wave[i - 4]!) + 3 * (wave[i]! + wave[i - 5]!)) / 256;
    const u0 = sign * start - limit;
    const u2 = sign * middle - limit;
    const u4 = sign * end - limit;
    if (u0 >= width && u2 >= width && u4 >= width) {
      // Wholly beyond the knee: Simpson's rule.
      shares[0] = (sign * (u0 + 2 * u2)) / 6;
      shares[1] = (sign * (2 * u2 + u4)) / 6;
      return;
    }
    const before = sign * wave[i - 4]! - limit;
    const after = sign * wave[i - 1]! - limit;
    const u1 = (-7 * before + 315 * u0 + 560 * u2 - 105 * u4 + 5 * after) / 768;
    const u3 = (5 * before - 105 * u0 + 560 * u2 + 315 * u4 - 7 * after) / 768;
    if (Math.max(u0, u1, u2, u3, u4) <= -width) {
      shares[0] = 0;
      shares[1] = 0;
      return;
    }
    // A chord lies inside a curved wave: moved out by this much it has the same mean.
    const bulge = (2 * u2 - u0 - u4) / 48;
    const { quarters } = this;
    quarters[0] = u0 + bulge;
    quarters[1] = u1 + bulge;
    quarters[2] = u2 + bulge;
    quarters[3] = u3 + bulge;
    quarters[4] = u4 + bulge;
    this.splitQuarters(sign, width);
  }

  private splitQuarters(sign: number, width: number): void {
    const { quarters, shares } = this;
    let whole = 0;
    let late = 0;
    for (let j = 0; j < 4; j += 1) {
      const area = mean(quarters[j]!, quarters[j + 1]!, width);
      whole += area / 4;
      late += (j * area + lateMean(quarters[j]!, quarters[j + 1]!, width)) / 16;
    }
    shares[0] = sign * (whole - late);
    shares[1] = sign * late;
  }
}

/** Mean of the excess along a straight piece from u0 to u1. */
function mean(u0: number, u1: number, width: number): number {
  if (width === 0) return hingeMean(u0, u1);
  return (parabolaMean(u0 + width, u1 + width) - parabolaMean(u0 - width, u1 - width)) / (2 * width);
}

/** Mean of the excess along a straight piece, weighted with 0 at its start and 1 at its end. */
function lateMean(u0: number, u1: number, width: number): number {
  if (width === 0) return hingeLate(u0, u1);
  return (parabolaLate(u0 + width, u1 + width) - parabolaLate(u0 - width, u1 - width)) / (2 * width);
}

/** Integral of max(u, 0) for u going straight from u0 to u1 in unit time. */
function hingeMean(u0: number, u1: number): number {
  if (u0 <= 0) return u1 <= 0 ? 0 : (0.5 * u1 * u1) / (u1 - u0);
  return u1 >= 0 ? 0.5 * (u0 + u1) : (0.5 * u0 * u0) / (u0 - u1);
}

/** Integral of t max(u(t), 0). */
function hingeLate(u0: number, u1: number): number {
  if (u0 <= 0) {
    if (u1 <= 0) return 0;
    const share = u1 / (u1 - u0);
    return u1 * share * (0.5 - share / 6);
  }
  if (u1 >= 0) return u0 / 6 + u1 / 3;
  const share = u0 / (u0 - u1);
  return (u0 * share * share) / 6;
}

/** Integral of max(u, 0)^2 / 2. */
function parabolaMean(u0: number, u1: number): number {
  if (u0 <= 0) return u1 <= 0 ? 0 : u1 ** 3 / (6 * (u1 - u0));
  return u1 >= 0 ? (u0 * u0 + u0 * u1 + u1 * u1) / 6 : u0 ** 3 / (6 * (u0 - u1));
}

/** Integral of t max(u(t), 0)^2 / 2. */
function parabolaLate(u0: number, u1: number): number {
  if (u0 <= 0) {
    if (u1 <= 0) return 0;
    const share = u1 / (u1 - u0);
    return u1 * u1 * share * (1 / 6 - share / 24);
  }
  if (u1 >= 0) return (u0 * u0 + 2 * u0 * u1 + 3 * u1 * u1) / 24;
  const share = u0 / (u0 - u1);
  return (u0 * u0 * share * share) / 24;
}
