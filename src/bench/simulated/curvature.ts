import type { CurvatureTwin } from './twin.js';

/**
 * Low-order curvature y = x + b x^2 - c x^3. A sine of peak A gets a second harmonic of b A / 2 and a third of
 * c A^2 / 4 relative to itself, for small b and c (facts of the power series; the third flattens the peaks).
 */
export class Curvature {
  /** b and c of the series. */
  readonly square: number;
  readonly cube: number;

  constructor({ second, third, at_V }: CurvatureTwin) {
    const peak_V = at_V * Math.SQRT2;
    this.square = (2 * second) / peak_V;
    this.cube = (4 * third) / peak_V ** 2;
  }

  /** The output for an input that does not change. */
  still(x: number): number {
    return x * (1 + x * (this.square - this.cube * x));
  }

  /** Samples come in whole groups of four: see `wave-arithmetic.ts`. */
  process(wave: Float64Array, from: number, to: number): void {
    this.bend(wave, from, wave, from, to - from);
  }

  /** Bends `samples` of `source`, from `from` on, into `target`, from `at` on. */
  bend(source: Float64Array, from: number, target: Float64Array, at: number, samples: number): void {
    const { square, cube } = this;
    const [read, write] = [from | 0, at | 0];
    for (let i = 0; i < samples; i += 4) {
      const x0 = source[read + i]!;
      const x1 = source[read + i + 1]!;
      const x2 = source[read + i + 2]!;
      const x3 = source[read + i + 3]!;
      target[write + i] = x0 * (1 + x0 * (square - cube * x0));
      target[write + i + 1] = x1 * (1 + x1 * (square - cube * x1));
      target[write + i + 2] = x2 * (1 + x2 * (square - cube * x2));
      target[write + i + 3] = x3 * (1 + x3 * (square - cube * x3));
    }
  }
}
