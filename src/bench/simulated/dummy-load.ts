import type { TrueLoad } from './true-chain.js';

/** What hangs on a channel in place of its load: nothing, bare wire, or so many ohms. */
export type LoadFault = 'open' | 'short' | number;

/** An open channel still carries the tap's divider; a short has the resistance of its wires. */
const OPEN_OHM = 1e6;
const SHORT_OHM = 0.02;

/**
 * A load as it truly is: its resistance follows its temperature, its temperature follows its power. A shunt in
 * series with it, and the volts that this takes, are part of it.
 */
export class DummyLoad {
  readonly inductance_H: number;
  private fault: LoadFault | null = null;
  private warmth_K = 0;

  /** @param thermal_s time that its temperature takes to follow its power */
  constructor(
    private readonly truth: TrueLoad,
    private readonly thermal_s: number,
  ) {
    this.inductance_H = truth.inductance_H;
  }

  /** What the channel sees. */
  get ohm(): number {
    if (this.fault === null) return this.own_ohm;
    if (this.fault === 'open') return OPEN_OHM;
    return this.fault === 'short' ? SHORT_OHM : this.fault;
  }

  /** What a meter at the load's own terminals sees. */
  get own_ohm(): number {
    return this.truth.cold_ohm * (1 + this.truth.tempco_per_K * this.warmth_K);
  }

  /** Above the room. */
  get rise_K(): number {
    return this.warmth_K;
  }

  /** No current flows, whatever stands across it. */
  get isOpen(): boolean {
    return this.fault === 'open';
  }

  /** Hangs something else on the channel, or the load itself again. */
  replace(fault: LoadFault | null): void {
    this.fault = fault;
  }

  /** @param power_W into what the channel sees, mean over the time that passes */
  pass(power_W: number, seconds: number): void {
    this.warm(this.fault === null ? power_W : 0, seconds);
  }

  /** Heats the load itself. */
  warm(power_W: number, seconds: number): void {
    const goal_K = power_W * this.truth.heating_K_per_W;
    this.warmth_K +=
      (goal_K - this.warmth_K) * (this.thermal_s > 0 ? -Math.expm1(-seconds / this.thermal_s) : 1);
  }
}
