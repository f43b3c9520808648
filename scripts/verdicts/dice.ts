import { seededRandom } from '../../src/signal/dither.js';

/** Draws that are the same for the same seed. */
export class Dice {
  private readonly random: () => number;

  constructor(seed: number) {
    this.random = seededRandom(seed);
  }

  /** From 0 up to 1. */
  share(): number {
    return this.random();
  }

  /** Standard normal (Box and Muller). */
  normal(): number {
    return Math.sqrt(-2 * Math.log(1 - this.random())) * Math.cos(2 * Math.PI * this.random());
  }

  pick<Item>(items: readonly Item[]): Item {
    return items[Math.floor(this.random() * items.length)]!;
  }
}
