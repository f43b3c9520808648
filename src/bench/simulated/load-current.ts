import type { DummyLoad } from './dummy-load.js';
import { LowPass } from './low-pass.js';

/** Amps through a load for the volts across it: over its resistance, and behind its inductance, as one RL. */
export class LoadCurrent {
  private readonly load: DummyLoad;
  private readonly lag: LowPass | null;

  constructor(load: DummyLoad, rate_Hz: number) {
    this.load = load;
    const { inductance_H, own_ohm } = load;
    this.lag = inductance_H > 0 ? new LowPass(own_ohm / (2 * Math.PI * inductance_H), rate_Hz) : null;
  }

  /** Writes what a shunt of `shunt_ohm` shows. */
  process(volts: Float64Array, shunt_V: Float64Array, shunt_ohm: number, frames: number): void {
    const { load } = this;
    const share = load.isOpen ? 0 : shunt_ohm / load.ohm;
    for (let i = 0; i < frames; i += 1) shunt_V[i] = share * volts[i]!;
    this.lag?.process(shunt_V, frames);
  }
}
