import { seededRandom } from '../../../src/stimulus/dither.js';

/** Seeded draws. */
export class Dice {
  private readonly random: () => number;

  constructor(seed: number) {
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
