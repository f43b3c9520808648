import type { SoundBlock } from './bench.js';
import { CaptureOverrun } from './bench-errors.js';

/** Blocks between a device that does not wait and a consumer that takes its time. */
export class BlockQueue {
  #blocks: SoundBlock[] = [];
  #frames = 0;
  #failure: { readonly reason: unknown } | null = null;
  #wake: () => void = () => {};

  /** @param mostFrames frames that may wait before the consumer counts as lost */
  constructor(private readonly mostFrames: number) {}

  push(block: SoundBlock): void {
    if (this.#failure) return;
    this.#blocks.push(block);
    this.#frames += block.channels[0]!.length;
    if (this.#frames > this.mostFrames) {
      this.fail(
        new CaptureOverrun({
          what: `${this.#frames} captured frames were not fetched in time`,
          where: 'capture',
        }),
      );
    }
    this.#wake();
  }

  /** The first reason counts. Blocks still waiting are dropped: what was captured around a fault proves nothing. */
  fail(reason: unknown): void {
    this.#failure ??= { reason };
    this.#blocks = [];
    this.#wake();
  }

  /** The next block, as soon as there is one; throws the reason of a failure. */
  async next(): Promise<SoundBlock> {
    while (this.#blocks.length === 0 && !this.#failure) {
      await new Promise<void>((resolve) => {
        this.#wake = resolve;
      });
    }
    if (this.#failure) throw this.#failure.reason;
    const block = this.#blocks.shift()!;
    this.#frames -= block.channels[0]!.length;
    return block;
  }
}
