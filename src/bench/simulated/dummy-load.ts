import type { BenchSetup } from '../bench-setup.js';
import { LowPass } from './first-order.js';
import { type TrueLoad, trueLoad } from './true-chain.js';
import type { Twin } from './twin.js';
import { LoadNotOnBench } from './twin-of.js';

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

/** All loads of a bench. Each stays as warm as it is while another takes its place. */
export class LoadRack {
  private readonly loads = new Map<string, DummyLoad>();

  constructor(
    private readonly setup: BenchSetup,
    private readonly twin: Twin,
  ) {}

  /** @param channel from 1 @throws LoadNotOnBench */
  load(channel: number, nominal_ohm: number): DummyLoad {
    const key = `${channel} ${nominal_ohm}`;
    const known = this.loads.get(key);
    if (known) return known;
    const loads = this.setup.channels[channel - 1]?.loads ?? [];
    const load = loads.find((one) => one.nominal_ohm === nominal_ohm);
    if (!load) {
      throw new LoadNotOnBench({
        what: `channel ${channel} has no load of ${nominal_ohm} ohm`,
        mend: `The bench file gives it ${loads.map((one) => `${one.nominal_ohm} ohm`).join(', ') || 'none'}`,
      });
    }
    const made = new DummyLoad(trueLoad(load, this.twin, channel), load.thermal_s);
    this.loads.set(key, made);
    return made;
  }

  /** Lets loads that are not connected cool. */
  cool(seconds: number, connected: readonly DummyLoad[]): void {
    for (const load of this.loads.values()) if (!connected.includes(load)) load.warm(0, seconds);
  }
}
