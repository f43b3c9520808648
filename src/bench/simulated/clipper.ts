import type { OutputLimits, OverStage } from './over-stage.js';

/**
 * Below this share of a limit nothing is looked at closely: between two samples a 20 kHz wave bulges by
 * 1 - cos(pi 20 kHz / 384 kHz), 1.3 %.
 */
const CLEAR = 0.98;

/**
 * The limits of an output stage, hard or with a rounded knee.
 *
 * Sampling a clipped wave folds its harmonics into the band, so the excess over the limit is not
 * sampled but averaged over time with a triangular weight two samples wide, in closed form for a wave
 * that runs straight between points half a sample apart (first moments of a hinge). The droop of that
 * average, sinc^2, is taken out again to fourth order. A wave inside the limits passes untouched.
 *
 * The knee of softness w rounds the corner over (1 - w) to (1 + w) times the limit by a parabola: the
 * hard corner averaged over that stretch.
 */
export class Clipper implements OverStage {
  readonly delay = 4;
  private readonly softness: number;
  /** The last five inputs, newest first. */
  private readonly past = new Float64Array(5);
  /** Part of the last interval's excess that belongs to its later end; averaged excess one and two samples ago. */
  private carry = 0;
  private excess1 = 0;
  private excess2 = 0;
  /** Share of the interval at hand that belongs to its start, and to its end. */
  private readonly shares = new Float64Array(2);

  /** @param softness half-width of the knee as a share of the limit, 0 for a hard corner */
  constructor(softness: number) {
    this.softness = softness;
  }

  process(wave: Float64Array, from: number, to: number, limits: OutputLimits): void {
    const { highStep, lowStep } = limits;
    const { past, shares } = this;
    const clear = CLEAR - this.softness;
    let { high, low } = limits;
    let { carry, excess1, excess2 } = this;
    let [x1, x2, x3, x4, x5] = [past[0]!, past[1]!, past[2]!, past[3]!, past[4]!];
    for (let i = from; i < to; i += 1) {
      const x0 = wave[i]!;
      let excess = carry;
      carry = 0;
      const top = Math.max(x3, x2);
      const bottom = Math.min(x3, x2);
      if (top > clear * high || bottom < clear * low) {
        const middle = (150 * (x2 + x3) - 25 * (x1 + x4) + 3 * (x0 + x5)) / 256;
        // A chord lies inside a curved wave: moved out by this much it has the same mean.
        const bulge = (2 * middle - x3 - x2) / 12;
        if (x3 + x2 > 0) this.split(x3 + bulge - high, middle + bulge - high, x2 + bulge - high, high);
        else this.split(low - x3 - bulge, low - middle - bulge, low - x2 - bulge, low);
        excess += shares[0]!;
        carry = shares[1]!;
      }
      // x4 answers to excess1; its neighbours sharpen the average.
      wave[i] = x4 - excess1 + (excess - 2 * excess1 + excess2) / 12;
      excess2 = excess1;
      excess1 = excess;
      x5 = x4;
      x4 = x3;
      x3 = x2;
      x2 = x1;
      x1 = x0;
      high += highStep;
      low += lowStep;
    }
    past.set([x1, x2, x3, x4, x5]);
    this.carry = carry;
    this.excess1 = excess1;
    this.excess2 = excess2;
  }

  /** Shares out the excess of an interval, given at its ends and middle, between its start and end. */
  private split(u0: number, um: number, u1: number, limit: number): void {
    const sign = limit > 0 ? 1 : -1;
    const width = this.softness * limit * sign;
    const first = mean(u0, um, width);
    const second = mean(um, u1, width);
    const end = (lateMean(u0, um, width) + second + lateMean(um, u1, width)) / 4;
    this.shares[0] = sign * ((first + second) / 2 - end);
    this.shares[1] = sign * end;
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
