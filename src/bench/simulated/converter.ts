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

/** Codes in, volts out. A converter rounds with triangular dither when it has a resolution. */
export class OutputConverter {
  private readonly side: AnalogueSide;
  private readonly lowPass: LowPass | null;
  private readonly rounding: Rounding | null;
  private readonly fullScale_Vpk: number;

  constructor(parts: ConverterParts) {
    this.side = new AnalogueSide(parts);
    this.lowPass = lowPassOf(parts);
    const { bits } = parts.twin;
    this.rounding = bits === null ? null : new Rounding(bits, parts.seed ^ 0x5bd1e995);
    this.fullScale_Vpk = parts.fullScale_Vpk;
  }

  /** Turns codes into volts. */
  process(codes: Float64Array, volts: Float64Array, frames: number): void {
    const { fullScale_Vpk } = this;
    if (this.rounding) this.rounding.process(codes, 1, volts, frames);
    else stop(codes, 1, volts, frames);
    for (let i = 0; i < frames; i += 1) volts[i] = fullScale_Vpk * volts[i]!;
    this.side.process(volts, frames);
    this.lowPass?.process(volts, frames);
  }
}

/** Volts in, codes out; stops at full scale. */
export class InputConverter {
  private readonly side: AnalogueSide;
  private readonly lowPass: LowPass | null;
  private readonly rounding: Rounding | null;
  private readonly fullScale_Vpk: number;

  constructor(parts: ConverterParts) {
    this.side = new AnalogueSide(parts);
    this.lowPass = lowPassOf(parts);
    const { bits } = parts.twin;
    this.rounding = bits === null ? null : new Rounding(bits, parts.seed ^ 0x1b873593);
    this.fullScale_Vpk = parts.fullScale_Vpk;
  }

  /** Turns volts into codes; the volts are used up. */
  process(volts: Float64Array, codes: Float64Array, frames: number): void {
    this.lowPass?.process(volts, frames);
    this.side.process(volts, frames);
    if (this.rounding) this.rounding.process(volts, 1 / this.fullScale_Vpk, codes, frames);
    else stop(volts, 1 / this.fullScale_Vpk, codes, frames);
  }
}

function lowPassOf({ corner_Hz, rate_Hz }: ConverterParts): LowPass | null {
  return Number.isFinite(corner_Hz) ? new LowPass(corner_Hz, rate_Hz) : null;
}

/** Scales samples and stops them at 1. */
function stop(source: Float64Array, factor: number, target: Float64Array, frames: number): void {
  for (let i = 0; i < frames; i += 1) target[i] = stopped(factor * source[i]!);
}
