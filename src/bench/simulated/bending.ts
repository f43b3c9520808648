import { Crossover, STRAIGHT } from './crossover.js';
import { Curvature } from './curvature.js';
import { SLEW_DELAY, SlewLimiter } from './slew-limiter.js';
import type { ChannelTwin } from './twin.js';

/** What bends a channel's wave whatever its rails do: curvature, then slew, then crossover. */
export class Bending {
  /** Samples by which it delays the wave. */
  readonly delay: number;
  private readonly curvature: Curvature | null;
  private readonly slew: SlewLimiter | null;
  private readonly crossover: Crossover | null;

  constructor({ curvature, crossover, output }: ChannelTwin, overRate_Hz: number) {
    const slews = Number.isFinite(output.slew_V_per_s);
    this.delay = slews ? SLEW_DELAY : 0;
    this.curvature = curvature ? new Curvature(curvature) : null;
    this.slew = slews ? new SlewLimiter(output.slew_V_per_s, overRate_Hz) : null;
    this.crossover = crossover ? new Crossover(crossover.missing_V) : null;
  }

  /** @param softness_V of the crossover, if there is one */
  soften(softness_V: number): void {
    this.crossover?.soften(softness_V);
  }

  /** Bends `samples` of `raised`, from `from` on, into `wave`, from `at` on. */
  process(raised: Float64Array, from: number, wave: Float64Array, at: number, samples: number): void {
    const { slew, curvature, crossover } = this;
    if (crossover && !slew) {
      crossover.bend(raised, from, wave, at, samples, curvature ?? STRAIGHT);
      return;
    }
    if (curvature) curvature.bend(raised, from, wave, at, samples);
    else wave.set(raised.subarray(from, from + samples), at);
    slew?.process(wave, at, at + samples);
    crossover?.process(wave, at, at + samples);
  }

  /** What becomes of volts that hardly move. */
  still(volts: number): number {
    const curved = this.curvature ? this.curvature.still(volts) : volts;
    return this.crossover ? this.crossover.still(curved) : curved;
  }
}
