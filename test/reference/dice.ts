import { seededRandom } from '../../src/signal/dither.js';

/** Draws from the distributions of a budget, the same for the same seed. */
export class Dice {
  private readonly random: () => number;

  constructor(seed: number) {
    this.random = seededRandom(seed);
  }

  /** Between minus and plus the half-width. */
  rectangular(halfWidth: number): number {
    return halfWidth * (2 * this.random() - 1);
  }

  /** With this standard deviation (Box and Muller). */
  normal(standard: number): number {
    const radius = Math.sqrt(-2 * Math.log(1 - this.random()));
    return standard * radius * Math.cos(2 * Math.PI * this.random());
  }

  /** Sum of the squares of `values` standard normal draws (Marsaglia and Tsang's method, values above 2). */
  chiSquare(values: number): number {
    const d = values / 2 - 1 / 3;
    const c = 1 / Math.sqrt(9 * d);
    for (;;) {
      const x = this.normal(1);
      const v = (1 + c * x) ** 3;
      if (v > 0 && Math.log(1 - this.random()) < x ** 2 / 2 + d - d * v + d * Math.log(v)) return 2 * d * v;
    }
  }
}
