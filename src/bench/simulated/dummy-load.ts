import type { Load } from '../../calibration/chain.js';

/** A load as it truly is: its resistance follows its temperature, its temperature follows its power. */
export class DummyLoad {
  readonly inductance_H: number;
  private readonly load: Load;
  private readonly cold_ohm: number;
  private rise_K = 0;

  /** @param deviation by which share the true resistance differs from the measured one */
  constructor(load: Load, deviation: number) {
    this.load = load;
    this.cold_ohm = load.measured_ohm * (1 + deviation);
    this.inductance_H = load.inductance_H;
  }

  get ohm(): number {
    return this.cold_ohm * (1 + this.load.tempco_per_K * this.rise_K);
  }

  /** @param power_W mean over the time that passes */
  pass(power_W: number, seconds: number): void {
    const goal_K = power_W * this.load.heating_K_per_W;
    const { thermal_s } = this.load;
    this.rise_K += (goal_K - this.rise_K) * (thermal_s > 0 ? -Math.expm1(-seconds / thermal_s) : 1);
  }
}
