import type { HeatTwin } from './twin.js';

/** The unit's heatsink: one temperature that follows the heat of all channels (first order, exact for steady heat). */
export class Heatsink {
  temperature_C: number;
  /** Hot enough to have shut down, and not yet cool enough to start again. */
  private resting = false;

  constructor(private readonly twin: HeatTwin) {
    this.temperature_C = twin.ambient_C;
  }

  /** @param heat_W mean over the time that passes */
  pass(heat_W: number, seconds: number): void {
    const { twin } = this;
    const goal_C = twin.ambient_C + heat_W * twin.resistance_K_per_W;
    this.temperature_C += (goal_C - this.temperature_C) * -Math.expm1(-seconds / twin.time_s);
    if (this.temperature_C >= twin.shutdown_C) this.resting = true;
    else if (this.temperature_C <= twin.restart_C) this.resting = false;
  }

  get shutDown(): boolean {
    return this.resting;
  }

  /** Factors on gain and on idle current; drift is stated against ambient temperature. */
  get gain(): number {
    return 1 + this.twin.gainDrift_per_K * this.rise_K;
  }

  get quiescent(): number {
    return Math.max(0, 1 + this.twin.quiescentDrift_per_K * this.rise_K);
  }

  private get rise_K(): number {
    return this.temperature_C - this.twin.ambient_C;
  }
}
