import { Coupling } from './coupling.js';
import { Curvature } from './curvature.js';
import { LowPass } from './low-pass.js';
import { WhiteNoise } from './noise.js';
import { Rounding, stopped } from './rounding.js';
import type { ConverterTwin } from './twin.js';

export interface ConverterParts {
  readonly twin: ConverterTwin;
  readonly fullScale_Vpk: number;
  readonly noise_V: number;
  /** Of a first-order low-pass at the terminals; Infinity: none. */
  readonly corner_Hz: number;
  readonly rate_Hz: number;
  readonly seed: number;
}

/** What both directions of a converter share: its own noise, distortion and coupling, on volts. */
class AnalogueSide {
  private readonly curvature: Curvature | null;
  private readonly coupling: Coupling | null;
  private readonly noise: WhiteNoise | null;

  constructor({ twin, fullScale_Vpk, noise_V, rate_Hz, seed }: ConverterParts) {
    const { second, third } = twin;
    const curved = second !== 0 || third !== 0;
    this.curvature = curved ? new Curvature({ second, third, at_V: fullScale_Vpk / Math.SQRT2 }) : null;
    this.coupling = twin.coupling_Hz > 0 ? new Coupling(twin.coupling_Hz, rate_Hz) : null;
    this.noise = noise_V > 0 ? new WhiteNoise(noise_V, rate_Hz, seed) : null;
  }

  process(volts: Float64Array, frames: number): void {
    this.curvature?.process(volts, 0, frames);
    this.coupling?.process(volts, frames);
    this.noise?.addTo(volts, frames);
  }
}

/** What a converter does with codes: it rounds with triangular dither when it has a resolution, and stops at full scale. */
abstract class Converter {
  protected readonly side: AnalogueSide;
  protected readonly lowPass: LowPass | null;
  protected readonly fullScale_Vpk: number;
  private readonly rounding: Rounding | null;

  constructor(parts: ConverterParts, ditherSeed: number) {
    const { corner_Hz, rate_Hz, fullScale_Vpk, twin } = parts;
    this.side = new AnalogueSide(parts);
    this.lowPass = Number.isFinite(corner_Hz) ? new LowPass(corner_Hz, rate_Hz) : null;
    this.fullScale_Vpk = fullScale_Vpk;
    this.rounding = twin.bits === null ? null : new Rounding(twin.bits, ditherSeed);
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
    this.side.process(volts, frames);
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
    this.side.process(volts, frames);
    this.round(volts, 1 / this.fullScale_Vpk, codes, frames);
  }
}
