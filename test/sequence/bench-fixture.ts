import type { ChannelChain, Load } from '../../src/calibration/chain.js';
import type { BenchFacts } from '../../src/sequence/bench-facts.js';

export function load(nominal_ohm: number, changes: Partial<Load> = {}): Load {
  return {
    nominal_ohm,
    measured_ohm: nominal_ohm,
    rating_W: 250,
    shortRating_W: changes.rating_W ?? 250,
    thermal_s: 300,
    inductance_H: 0,
    tempco_per_K: 0,
    heating_K_per_W: 0,
    uncertainty_percent: null,
    ...changes,
  };
}

export function chain(channel: number, changes: Partial<ChannelChain> = {}): ChannelChain {
  return {
    channel,
    output: channel,
    input: channel,
    outputFullScale_Vpk: 4,
    inputFullScale_Vpk: 4,
    attenuator_ratio: 25,
    attenuatorRating_Vpk: 200,
    loads: [load(8)],
    inputUncertainty_percent: null,
    attenuatorUncertainty_percent: null,
    records: [],
    ...changes,
  };
}

/** An invented bench: full scale at the load is 100 V peak, which is 625 W into 8 ohm. */
export function bench(channels: number, changes: Partial<BenchFacts> = {}): BenchFacts {
  return {
    name: 'invented bench',
    rate_Hz: 48_000,
    channels: Array.from({ length: channels }, (_, i) => chain(i + 1)),
    assumedGain_dB: 40,
    floor_thdn_percent: 0.0005,
    ...changes,
  };
}
