import type { BenchSetup } from '../bench-setup.js';
import { Curvature } from './curvature.js';
import { Coupling, LowPass } from './first-order.js';
import { WhiteNoise } from './noise.js';
import { Rounding, stopped } from './rounding.js';
import { type ConverterTwin, channelTruth, type Twin } from './twin.js';

export interface ConverterParts {
  readonly twin: ConverterTwin;
  readonly fullScale_Vpk: number;
  readonly noise_V: number;
  /** Of a first-order low-pass at the terminals; Infinity: none. */
  readonly corner_Hz: number;
  readonly rate_Hz: number;
  readonly seed: number;
}

/**
 * What both directions of a converter share: its own noise, distortion, coupling and low-pass on volts; and that it rounds
 * codes with triangular dither when it has a resolution, and stops at full scale.
 */
abstract class Converter {
  protected readonly fullScale_Vpk: number;
  protected readonly lowPass: LowPass | null;
  private readonly curvature: Curvature | null;
  private readonly coupling: Coupling | null;
  private readonly noise: WhiteNoise | null;
  private readonly rounding: Rounding | null;

  constructor(parts: ConverterParts, ditherSeed: number) {
    const { twin, fullScale_Vpk, noise_V, corner_Hz, rate_Hz, seed } = parts;
    const { second, third, bits, coupling_Hz } = twin;
    const curved = second !== 0 || third !== 0;
    this.fullScale_Vpk = fullScale_Vpk;
    this.lowPass = Number.isFinite(corner_Hz) ? new LowPass(corner_Hz, rate_Hz) : null;
    this.curvature = curved ? new Curvature({ second, third, at_V: fullScale_Vpk / Math.SQRT2 }) : null;
    this.coupling = coupling_Hz > 0 ? new Coupling(coupling_Hz, rate_Hz) : null;
    this.noise = noise_V > 0 ? new WhiteNoise(noise_V, rate_Hz, seed) : null;
    this.rounding = bits === null ? null : new Rounding(bits, ditherSeed);
  }

  protected addOwn(volts: Float64Array, frames: number): void {
    this.curvature?.process(volts, 0, frames);
    this.coupling?.process(volts, frames);
    this.noise?.addTo(volts, frames);
  }

  /** Writes `factor` times `source` into `target` as codes. */
  protected round(source: Float64Array, factor: number, target: Float64Array, frames: number): void {
    if (this.rounding) this.rounding.process(source, factor, target, frames);
    else for (let i = 0; i < frames; i += 1) target[i] = stopped(factor * source[i]!);
  }
}

/** Codes in, volts out. */
export class OutputConverter extends Converter {
  constructor(parts: ConverterParts) {
    super(parts, parts.seed ^ 0x5bd1e995);
  }

  /** Turns codes into volts. */
  process(codes: Float64Array, volts: Float64Array, frames: number): void {
    const { fullScale_Vpk } = this;
    this.round(codes, 1, volts, frames);
    for (let i = 0; i < frames; i += 1) volts[i] = fullScale_Vpk * volts[i]!;
    this.addOwn(volts, frames);
    this.lowPass?.process(volts, frames);
  }
}

/** Volts in, codes out. */
export class InputConverter extends Converter {
  constructor(parts: ConverterParts) {
    super(parts, parts.seed ^ 0x1b873593);
  }

  /** Turns volts into codes; the volts are used up. */
  process(volts: Float64Array, codes: Float64Array, frames: number): void {
    this.lowPass?.process(volts, frames);
    this.addOwn(volts, frames);
    this.round(volts, 1 / this.fullScale_Vpk, codes, frames);
  }
}

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
