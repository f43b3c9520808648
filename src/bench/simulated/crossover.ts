import type { Curvature } from './curvature.js';

/** A curvature that is none. */
export const STRAIGHT = { square: 0, cube: 0 };

/**
 * Crossover distortion of a class-B stage: y = x - m x / sqrt(x^2 + s^2). Far from zero current m volts are
 * missing; s volts, the softness current times the load, tell how gently the halves change hands. The
 * missing part is averaged over each sample interval for a wave that runs straight between samples,
 * m (x0 + x1) / (sqrt(x0^2 + s^2) + sqrt(x1^2 + s^2)), so that its harmonics fold less.
 */
export class Crossover {
  private softness_V = 1;
  private past = 0;

  constructor(private readonly missing_V: number) {}

  /** @param softness_V widened to the missing volts where it is less: the output never runs backwards */
  soften(softness_V: number): void {
    this.softness_V = Math.max(softness_V, this.missing_V, 1e-9);
  }

  /** The output for an input that does not change. */
  still(x: number): number {
    return x - (this.missing_V * x) / Math.sqrt(x * x + this.softness_V ** 2);
  }

  process(wave: Float64Array, from: number, to: number): void {
    this.bend(wave, from, wave, from, to - from, STRAIGHT);
  }

  /**
   * Bends `samples` of `source`, from `from` on, into `target`, from `at` on, first by the curvature and then by the
   * crossover: while a root and a division take their time, the curvature costs nothing.
   */
  bend(
    source: Float64Array,
    from: number,
    target: Float64Array,
    at: number,
    samples: number,
    curvature: Pick<Curvature, 'square' | 'cube'>,
  ): void {
    const { missing_V } = this;
    const { square, cube } = curvature;
    const [read, write] = [from | 0, at | 0];
    const soft = this.softness_V ** 2;
    let past = this.past;
    let pastRoot = Math.sqrt(past * past + soft);
    for (let i = 0; i < samples; i += 1) {
      const straight = source[read + i]!;
      const x = straight * (1 + straight * (square - cube * straight));
      const root = Math.sqrt(x * x + soft);
      target[write + i] = x - (missing_V * (past + x)) / (pastRoot + root);
      past = x;
      pastRoot = root;
    }
    this.past = past;
  }
}
