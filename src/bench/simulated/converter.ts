import { quantise, seededRandom } from '../../stimulus/dither.js';
import { Coupling } from './coupling.js';
import { Curvature } from './curvature.js';
import { WhiteNoise } from './noise.js';
import type { ConverterTwin } from './twin.js';

interface ConverterParts {
  readonly twin: ConverterTwin;
  readonly fullScale_Vpk: number;
  readonly noise_V: number;
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
  private readonly bits: number | null;
  private readonly fullScale_Vpk: number;
  private readonly random: () => number;

  constructor(parts: ConverterParts) {
    this.side = new AnalogueSide(parts);
    this.bits = parts.twin.bits;
    this.fullScale_Vpk = parts.fullScale_Vpk;
    this.random = seededRandom(parts.seed ^ 0x5bd1e995);
  }

  process(codes: Float64Array, volts: Float64Array, frames: number): void {
    const { fullScale_Vpk } = this;
    const exact = this.bits === null ? codes : quantise(codes.subarray(0, frames), this.bits, this.random);
    for (let i = 0; i < frames; i += 1) {
      volts[i] = fullScale_Vpk * Math.max(-1, Math.min(1, exact[i]!));
    }
    this.side.process(volts, frames);
  }
}

/** Volts in, codes out; stops at full scale. */
export class InputConverter {
  private readonly side: AnalogueSide;
  private readonly bits: number | null;
  private readonly fullScale_Vpk: number;
  private readonly random: () => number;

  constructor(parts: ConverterParts) {
    this.side = new AnalogueSide(parts);
    this.bits = parts.twin.bits;
    this.fullScale_Vpk = parts.fullScale_Vpk;
    this.random = seededRandom(parts.seed ^ 0x1b873593);
  }

  /** Turns volts into codes in place. */
  process(samples: Float64Array, frames: number): void {
    this.side.process(samples, frames);
    const perVolt = 1 / this.fullScale_Vpk;
    for (let i = 0; i < frames; i += 1) {
      samples[i] = Math.max(-1, Math.min(1, perVolt * samples[i]!));
    }
    if (this.bits !== null) samples.set(quantise(samples.subarray(0, frames), this.bits, this.random));
  }
}
