/** Samples by which the limiter delays the wave. */
export const SLEW_DELAY = 3;

/**
 * An output that follows its input at no more than a fixed slope; a wave that never asks for more passes
 * untouched.
 *
 * Between two samples the input's slope is taken to run straight (five-point slopes at the samples). So the moments
 * at which the output falls behind and catches up are found within the interval, else they would jitter by
 * a sample and fold. Where the output catches up its slope jumps by d, at the share s of the interval: averaged
 * with a triangular weight two samples wide, that corner changes the samples around it by d (1 - s)^3 / 6 and
 * d s^3 / 6, and no others.
 */
export class SlewLimiter {
  private readonly step: number;
  /** The last four inputs, newest first. */
  private readonly past = new Float64Array(4);
  private slope = 0;
  /** Output less input at the last sample. */
  private lag = 0;
  /** The last output, held back because the next interval may still round it. */
  private held = 0;

  constructor(slew_V_per_s: number, overRate_Hz: number) {
    this.step = slew_V_per_s / overRate_Hz;
  }

  process(wave: Float64Array, from: number, to: number): void {
    const { step, past } = this;
    let x1 = past[0]!;
    let x2 = past[1]!;
    let x3 = past[2]!;
    let x4 = past[3]!;
    let slope = this.slope;
    let { lag, held } = this;
    for (let i = from | 0; i < to; i += 1) {
      const x0 = wave[i]!;
      // The interval at hand runs from sample i - 3 to i - 2.
      const before = slope;
      slope = (8 * (x1 - x3) - (x0 - x4)) / 12;
      wave[i] = held;
      if (lag === 0 && slope <= step && slope >= -step) held = x2;
      else {
        held = x2 + this.follow(x2 - x3, before, slope, wave, i);
        lag = this.lag;
      }
      x4 = x3;
      x3 = x2;
      x2 = x1;
      x1 = x0;
    }
    past[0] = x1;
    past[1] = x2;
    past[2] = x3;
    past[3] = x4;
    this.slope = slope;
    this.held = held;
  }

  /** The lag at the end of an interval, its corner rounded; rounds the output before it in `wave[i]` too. */
  private follow(rise: number, before: number, after: number, wave: Float64Array, i: number): number {
    const { step, lag } = this;
    if (lag === 0) {
      this.lag = this.fallBehind(rise, before, after);
      return this.lag;
    }
    const chase = lag > 0 ? -step : step;
    const chased = lag + chase - rise;
    if (chased * lag > 0) {
      this.lag = chased;
      return chased;
    }
    // The lag runs as lag + (chase - start) t - bend t^2 / 2; three of Newton's steps find where it ends.
    const bend = after - before;
    const start = rise - bend / 2;
    let share = lag / (lag - chased);
    for (let n = 0; n < 3; n += 1) {
      const left = lag + (chase - start) * share - (bend * share * share) / 2;
      share -= left / (chase - start - bend * share || chase);
    }
    share = Math.max(0, Math.min(1, share));
    const slope = start + bend * share;
    const follows = Math.max(-step, Math.min(step, slope));
    this.lag = follows === slope ? 0 : (1 - share) * (follows - start - (bend * (1 + share)) / 2);
    const corner = (follows - chase) / 6;
    wave[i] = wave[i]! + corner * (1 - share) ** 3;
    return this.lag + corner * share ** 3;
  }

  /** The first lag, built up from the moment at which the input's slope passes the limit. */
  private fallBehind(rise: number, before: number, after: number): number {
    const sign = after > 0 ? 1 : -1;
    const [early, late] = [sign * before - this.step, sign * after - this.step];
    if (early >= 0) return sign * this.step - rise;
    return (-sign * late * late) / (2 * (late - early));
  }
}
