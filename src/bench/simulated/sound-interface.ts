import type { BenchSetup } from '../bench-setup.js';
import { InputConverter, OutputConverter } from './converter.js';
import { channelTruth, type Twin } from './twin.js';

/** Converters of one bench channel, with the full scales that they truly have. */
export interface ChannelConverters {
  readonly output: OutputConverter;
  readonly input: InputConverter;
  /** Of the current shunt; null where there is none. */
  readonly current: InputConverter | null;
}

/** The simulated sound interface, by bench channel. */
export function channelConverters(setup: BenchSetup, twin: Twin, seed: number): ChannelConverters[] {
  const { converters } = twin;
  return setup.channels.map((chain, i) => {
    const truth = channelTruth(twin, i + 1);
    const parts = { twin: converters, rate_Hz: setup.rate_Hz };
    const input = { ...parts, noise_V: converters.inputNoise_V, corner_Hz: truth.inputCorner_Hz };
    return {
      output: new OutputConverter({
        ...parts,
        fullScale_Vpk: chain.outputFullScale_Vpk * (1 + truth.outputLevel),
        noise_V: converters.outputNoise_V,
        corner_Hz: truth.outputCorner_Hz,
        seed: seedFor(seed, i, 1),
      }),
      input: new InputConverter({
        ...input,
        fullScale_Vpk: chain.inputFullScale_Vpk / (1 + truth.inputLevel),
        seed: seedFor(seed, i, 2),
      }),
      current:
        chain.current &&
        new InputConverter({
          ...input,
          fullScale_Vpk: chain.current.fullScale_Vpk,
          seed: seedFor(seed, i, 0),
        }),
    };
  });
}

/** Seed of one of the four noises of a bench channel (from 0). Parts: 0 current, 1 output, 2 input, 3 unit. */
export function seedFor(seed: number, channel: number, part: 0 | 1 | 2 | 3): number {
  return Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(channel * 4 + part, 0x85ebca6b);
}
