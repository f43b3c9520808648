import type { BenchSetup } from '../bench-setup.js';
import { DummyLoad } from './dummy-load.js';
import { LoadNotOnBench } from './simulated-faults.js';
import { trueLoad } from './true-chain.js';
import type { Twin } from './twin.js';

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
