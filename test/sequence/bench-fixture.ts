import type { ChannelChain } from '../../src/calibration/chain.js';
import type { BenchFacts } from '../../src/sequence/bench-facts.js';
import { plainLoad as load, plainChain } from '../calibration/plain-chain.js';

export { load };

export function chain(channel: number, changes: Partial<ChannelChain> = {}): ChannelChain {
  return plainChain(channel, {
    outputFullScale_Vpk: 4,
    inputFullScale_Vpk: 4,
    attenuator_ratio: 25,
    attenuatorRating_Vpk: 200,
    loads: [load(8)],
    ...changes,
  });
}

/** An invented bench: full scale at the load is 100 V peak, which is 625 W into 8 ohm. */
export function bench(channels: number, changes: Partial<BenchFacts> = {}): BenchFacts {
  return {
    name: 'invented bench',
    rate_Hz: 48_000,
    channels: Array.from({ length: channels }, (_, i) => chain(i + 1)),
    assumedGain_dB: 40,
    floor: { kind: 'stated', thdn_percent: 0.0005 },
    ...changes,
  };
}
