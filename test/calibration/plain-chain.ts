import type { ChannelChain, Load } from '../../src/calibration/chain.js';

/** A load that is what its label says, of which nobody stated anything more. */
export function plainLoad(nominal_ohm: number, changes: Partial<Load> = {}): Load {
  return {
    nominal_ohm,
    measured_ohm: nominal_ohm,
    measuredAt_C: null,
    rating_W: 250,
    shortRating_W: changes.rating_W ?? 250,
    thermal_s: 300,
    inductance_H: 0,
    tempco_per_K: 0,
    heating_K_per_W: 0,
    warmingLimits: 0.5,
    stated: null,
    ...changes,
  };
}

/** A channel of 1 V peak at full scale either way, without attenuator and load, of which nobody stated anything more. */
export function plainChain(channel: number, changes: Partial<ChannelChain> = {}): ChannelChain {
  return {
    channel,
    output: channel,
    input: channel,
    outputFullScale_Vpk: 1,
    inputFullScale_Vpk: 1,
    attenuator_ratio: 1,
    attenuatorRating_Vpk: 100,
    loads: [],
    outputStated: null,
    inputStated: null,
    attenuatorStated: null,
    current: null,
    response: null,
    flatness_dB: null,
    records: [],
    ...changes,
  };
}
