import type { RegulatedTwin, SupplyTwin, UnregulatedTwin } from './twin.js';

/** The rails that all channels share. */
export interface Supply {
  /** True when nothing the channels draw moves the rails. */
  readonly stiff: boolean;
  /** Volts of each rail from the common, both as positive numbers. */
  readonly positive_V: number;
  readonly negative_V: number;
  /** What of the ripple reaches every output at this moment. */
  readonly hum_V: number;
  /** Lets `dt_s` pass while the channels draw these mean currents from the rails. */
  step(positive_A: number, negative_A: number, dt_s: number): void;
  /** Lets a longer time pass with a steady draw. */
  rest(seconds: number, draw_A: number): void;
}

/** Longest rest that is stepped through; the rails have settled by then and only the mains phase goes on. */
const LONGEST_STEPPED_S = 2;
const REST_STEP_S = 50e-6;
/** Ripple is what moves faster than this. */
const RIPPLE_CORNER_HZ = 2;

/**
 * Centre-tapped mains transformer, bridge rectifier and one reservoir a rail.
 *
 * Each half of the secondary, e(t) less the rectifier's drop, charges its reservoir through the series
 * resistance whenever it stands above it; the mains resistance, seen from the secondary, carries the
 * charging currents of both rails. Implicit Euler steps: the reservoir only adds dt/C to the resistance, so
 * that any resistance, also none, is stable. With steps of 80 us the peak of a 60 Hz wave is met within 0.012 %.
 */
export class UnregulatedSupply implements Supply {
  readonly stiff = false;
  positive_V = 0;
  negative_V = 0;
  hum_V = 0;
  private readonly peak_V: number;
  private readonly shared_ohm: number;
  private phase_turns = 0;
  private mean_V = 0;

  constructor(private readonly twin: UnregulatedTwin) {
    const turns = twin.secondary_V / twin.nominalMains_V;
    this.peak_V = Math.SQRT2 * twin.mains_V * turns;
    this.shared_ohm = twin.mainsResistance_ohm * turns ** 2;
    this.positive_V = Math.max(this.peak_V - twin.rectifierDrop_V, 0);
    this.negative_V = this.positive_V;
    this.mean_V = this.positive_V;
  }

  step(positive_A: number, negative_A: number, dt_s: number): void {
    const { twin } = this;
    this.phase_turns = (this.phase_turns + dt_s * twin.mains_Hz) % 1;
    const wave = Math.sin(2 * Math.PI * this.phase_turns);
    const source_V = this.peak_V * (twin.halfWave ? wave : Math.abs(wave)) - twin.rectifierDrop_V;
    const perAmp_V = dt_s / twin.reservoir_F;
    // Where each rail would be without charging, and by how much the source stands above it.
    const positive_V = this.positive_V - positive_A * perAmp_V;
    const negative_V = this.negative_V - negative_A * perAmp_V;
    const p = source_V - positive_V;
    const n = source_V - negative_V;
    const own = twin.resistance_ohm + perAmp_V;
    const both = this.shared_ohm;
    // Both rectifiers conduct: two meshes with the mains resistance in common. Otherwise each on its own.
    const sum = (p + n) / (own + 2 * both);
    const difference = (p - n) / own;
    let charge_p = (sum + difference) / 2;
    let charge_n = (sum - difference) / 2;
    if (charge_p < 0 || charge_n < 0) {
      charge_p = p > n && p > 0 ? p / (own + both) : 0;
      charge_n = n > p && n > 0 ? n / (own + both) : 0;
    }
    this.positive_V = Math.max(positive_V + charge_p * perAmp_V, 0);
    this.negative_V = Math.max(negative_V + charge_n * perAmp_V, 0);
    this.mean_V += (this.positive_V - this.mean_V) * 2 * Math.PI * RIPPLE_CORNER_HZ * dt_s;
    this.hum_V = twin.hum * (this.positive_V - this.mean_V);
  }

  rest(seconds: number, draw_A: number): void {
    const stepped_s = Math.min(seconds, LONGEST_STEPPED_S);
    const steps = Math.ceil(stepped_s / REST_STEP_S);
    for (let i = 0; i < steps; i += 1) this.step(draw_A, draw_A, stepped_s / steps);
    this.phase_turns = (this.phase_turns + (seconds - stepped_s) * this.twin.mains_Hz) % 1;
  }
}

class RegulatedSupply implements Supply {
  readonly stiff = true;
  readonly hum_V = 0;
  readonly positive_V: number;
  readonly negative_V: number;

  constructor(twin: RegulatedTwin) {
    this.positive_V = twin.positive_V;
    this.negative_V = twin.negative_V;
  }

  step(): void {}
  rest(): void {}
}

export function makeSupply(twin: SupplyTwin): Supply {
  return twin.kind === 'regulated' ? new RegulatedSupply(twin) : new UnregulatedSupply(twin);
}
