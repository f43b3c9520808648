import type { OverStage } from './over-stage.js';

/**
 * An output that follows its input at no more than a fixed slope. What it lags behind is averaged over
 * each sample interval in closed form (the lag runs straight down to nothing where the output catches up),
 * so that the corner folds less; a wave that never asks for more passes untouched.
 */
export class SlewLimiter implements OverStage {
  private readonly step: number;
  private input = 0;
  /** Output less input at the last sample. */
  private lag = 0;

  constructor(slew_V_per_s: number, overRate_Hz: number) {
    this.step = slew_V_per_s / overRate_Hz;
  }

  process(wave: Float64Array, from: number, to: number): void {
    const { step } = this;
    let { input, lag } = this;
    for (let i = from; i < to; i += 1) {
      const x = wave[i]!;
      const asked = x - input - lag;
      input = x;
      if (lag === 0 && asked <= step && asked >= -step) continue;
      if (asked <= step && asked >= -step) {
        // Caught up within this interval, after the share of it in which the lag runs out.
        const closing = lag > 0 ? step + asked + lag : step - asked - lag;
        const share = closing > 0 ? Math.min(1, Math.abs(lag) / closing) : 1;
        wave[i] = x + 0.5 * share * lag;
        lag = 0;
      } else {
        const next = (asked > 0 ? step : -step) - asked;
        wave[i] = x + 0.5 * (lag + next);
        lag = next;
      }
    }
    this.input = input;
    this.lag = lag;
  }
}
