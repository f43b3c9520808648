import { seededRandom } from '../../../src/signal/dither.js';

/** Seeded draws. */
export class Dice {
  private readonly random: () => number;

  /** Whether captures are to be taken carelessly: too low a rate for the treble, some left out. */
  readonly careless: boolean;

  constructor(seed: number, careless = false) {
    this.careless = careless;
    this.random = seededRandom(seed);
    // The first numbers of neighbouring seeds are alike.
    for (let i = 0; i < 8; i += 1) this.random();
  }

  /** Log-uniform. */
  between(low: number, high: number): number {
    return low * (high / low) ** this.random();
  }

  pick<T>(choices: readonly T[]): T {
    return choices[Math.floor(this.random() * choices.length)]!;
  }
}
