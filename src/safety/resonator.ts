/** Finds how much of one frequency a window of samples holds, while they come in (Goertzel). */
export class Resonator {
  readonly #pull: number;
  #now = 0;
  #before = 0;

  /** @param turns cycles of the frequency in one frame */
  constructor(turns: number) {
    this.#pull = 2 * Math.cos(2 * Math.PI * turns);
  }

  /** Takes the samples `from` to `to - 1`. */
  push(samples: Float64Array, from: number, to: number): void {
    const pull = this.#pull;
    let [now, before] = [this.#now, this.#before];
    for (let i = from; i < to; i += 1) {
      const next = samples[i]! + pull * now - before;
      before = now;
      now = next;
    }
    this.#now = now;
    this.#before = before;
  }

  /** Mean square of the frequency over the `count` samples since it was last asked; begins anew. */
  take(count: number): number {
    const [now, before] = [this.#now, this.#before];
    this.restart();
    const square = (2 * (now * now + before * before - this.#pull * now * before)) / (count * count);
    return Math.max(0, square);
  }

  restart(): void {
    this.#now = 0;
    this.#before = 0;
  }
}
