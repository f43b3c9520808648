import type { ProtectionTwin } from './twin.js';

/**
 * The output relay. It weighs mean-square current and mean voltage, each through a first-order lag, and
 * opens all outputs when either passes its limit: a steady overload x times the limit opens it after
 * t ln(x^2 / (x^2 - 1)), t being the stated time. It closes again after its time, or stays open.
 */
export class Protection {
  private readonly twin: ProtectionTwin;
  private readonly meanSquare_A2: Float64Array;
  private readonly mean_V: Float64Array;
  private closesIn_s = 0;

  constructor(twin: ProtectionTwin, channels: number) {
    this.twin = twin;
    this.meanSquare_A2 = new Float64Array(channels);
    this.mean_V = new Float64Array(channels);
  }

  get open(): boolean {
    return this.closesIn_s > 0;
  }

  /** Lets time pass while channel `channel` (from 0) carries a mean-square current at a mean voltage. */
  weigh(channel: number, meanSquare_A2: number, mean_V: number, seconds: number): void {
    const { twin } = this;
    const current = lag(this.meanSquare_A2, channel, meanSquare_A2, seconds / twin.currentTime_s);
    const dc = lag(this.mean_V, channel, mean_V, seconds / twin.dcTime_s);
    if (!this.open && (current > twin.current_A ** 2 || Math.abs(dc) > twin.dc_V)) {
      this.closesIn_s = twin.recloses_s;
    }
  }

  /** Lets the relay's own time pass. */
  pass(seconds: number): void {
    this.closesIn_s = Math.max(0, this.closesIn_s - seconds);
  }
}

function lag(state: Float64Array, channel: number, input: number, times: number): number {
  const value = state[channel]! + (input - state[channel]!) * -Math.expm1(-times);
  state[channel] = value;
  return value;
}
