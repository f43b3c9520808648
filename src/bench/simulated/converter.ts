import { Coupling } from './coupling.js';
import { Curvature } from './curvature.js';
import { LowPass } from './low-pass.js';
import { WhiteNoise } from './noise.js';
import { Rounding } from './rounding.js';
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

  /** Turns codes `at` to `at + frames - 1` into volts. */
  process(codes: Float64Array, at: number, volts: Float64Array, frames: number): void {
    const { fullScale_Vpk } = this;
    limited(codes, at, 1, volts, 0, frames);
    this.rounding?.process(volts, 0, frames);
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

  /** Turns volts into codes `at` to `at + frames - 1`; the volts are used up. */
  process(volts: Float64Array, codes: Float64Array, at: number, frames: number): void {
    this.lowPass?.process(volts, frames);
    this.side.process(volts, frames);
    limited(volts, 0, 1 / this.fullScale_Vpk, codes, at, frames);
    this.rounding?.process(codes, at, frames);
  }
}

function lowPassOf({ corner_Hz, rate_Hz }: ConverterParts): LowPass | null {
  return Number.isFinite(corner_Hz) ? new LowPass(corner_Hz, rate_Hz) : null;
}

/** Scales samples `from` on, stops them at 1, and puts them at `to` on. */
function limited(
  source: Float64Array,
  from: number,
  factor: number,
  target: Float64Array,
  to: number,
  frames: number,
): void {
  for (let i = 0; i < frames; i += 1) {
    const x = factor * source[from + i]!;
    target[to + i] = x > 1 ? 1 : Math.max(x, -1);
  }
}
