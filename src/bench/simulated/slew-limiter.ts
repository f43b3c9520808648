import type { OverStage } from './over-stage.js';

/** Samples by which the limiter delays the wave. */
export const SLEW_DELAY = 1;

/**
 * An output that follows its input at no more than a fixed slope; a wave that never asks for more passes
 * untouched. Where the output catches up its slope jumps by d, at the share s of a sample interval. Sampled
 * as it is, that corner would fold; averaged with a triangular weight two samples wide it changes the samples
 * around it by d (1 - s)^3 / 6 and d s^3 / 6, and no others.
 */
export class SlewLimiter implements OverStage {
  private readonly step: number;
  private input = 0;
  /** Output less input at the last sample. */
  private lag = 0;
  /** The last output, held back because the next interval may still round it. */
  private held = 0;

  constructor(slew_V_per_s: number, overRate_Hz: number) {
    this.step = slew_V_per_s / overRate_Hz;
  }

  process(wave: Float64Array, from: number, to: number): void {
    const { step } = this;
    let { input, lag, held } = this;
    for (let i = from; i < to; i += 1) {
      const x = wave[i]!;
      const rise = x - input;
      input = x;
      const follow = Math.max(-step, Math.min(step, rise));
      const shortfall = follow - rise;
      let output = x;
      if (lag === 0) {
        lag = shortfall;
        output += lag;
      } else {
        const chase = lag > 0 ? -step : step;
        const chased = lag + chase - rise;
        if (chased * lag > 0) {
          lag = chased;
          output += lag;
        } else {
          const share = lag / (lag - chased);
          const corner = (follow - chase) / 6;
          lag = shortfall * (1 - share);
          held += corner * (1 - share) ** 3;
          output += lag + corner * share ** 3;
        }
      }
      wave[i] = held;
      held = output;
    }
    this.input = input;
    this.lag = lag;
    this.held = held;
  }
}
