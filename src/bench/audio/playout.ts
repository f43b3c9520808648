import { fadeOut, frameBytes } from './pcm.js';
import type { SampleBits } from './protocol.js';
import type { StreamGeometry } from './stream-geometry.js';

/**
 * Decides what the host process plays next: silence, what came down the pipe, or a ramp to silence. Holds the last
 * frames of a play back until more have come, so that whatever happens to the sender there is something to fade.
 */
export class Playout {
  readonly #width: number;
  readonly #bits: SampleBits;
  readonly #geometry: StreamGeometry;
  readonly #frameBytes: number;
  #pending: Buffer = Buffer.alloc(0);
  #receivedBytes = 0;
  /** Bytes of the pipe below this number are not to be heard any more. */
  #dropBelow = 0;
  #tail: Buffer | null = null;
  #playing = false;

  constructor(format: { width: number; bits: SampleBits; geometry: StreamGeometry }) {
    this.#width = format.width;
    this.#bits = format.bits;
    this.#geometry = format.geometry;
    this.#frameBytes = frameBytes(format.width, format.bits);
  }

  /** True from the first frame of a play until its last one or its ramp has been handed out. */
  get playing(): boolean {
    return this.#playing;
  }

  /** Frames from the pipe that were handed out or dropped. */
  get accepted(): number {
    return Math.floor((this.#receivedBytes - this.#pending.length) / this.#frameBytes);
  }

  /** Takes bytes from the pipe, cut anywhere. */
  push(bytes: Buffer): void {
    const drop = Math.min(Math.max(this.#dropBelow - this.#receivedBytes, 0), bytes.length);
    this.#receivedBytes += bytes.length;
    if (drop < bytes.length) this.#pending = Buffer.concat([this.#pending, bytes.subarray(drop)]);
  }

  /** Ends a play in a ramp and drops everything up to frame number `sent` of the pipe. */
  hush(sent: number): void {
    if (this.#playing && this.#tail === null) this.#tail = this.#take(this.#geometry.fadeFrames);
    this.#dropBelow = sent * this.#frameBytes;
    // What belongs to a later play came in behind the frames that are dropped.
    const keep = Math.min(Math.max(this.#receivedBytes - this.#dropBelow, 0), this.#pending.length);
    this.#pending = this.#pending.subarray(this.#pending.length - keep);
  }

  /** The sender has fallen silent: ends the play in a ramp and trusts nothing more until the next `hush`. */
  starve(): void {
    this.hush(Number.POSITIVE_INFINITY);
  }

  /** The next chunk, always of full size; null when a play goes on and its frames have not come yet. */
  next(): Buffer | null {
    const { chunkFrames, fadeFrames } = this.#geometry;
    if (this.#tail !== null) return this.#fading(this.#tail);
    if (this.#pending.length >= (chunkFrames + fadeFrames) * this.#frameBytes) {
      this.#playing = true;
      return this.#take(chunkFrames);
    }
    return this.#playing ? null : this.#silence();
  }

  #fading(tail: Buffer): Buffer {
    fadeOut(tail, this.#width, this.#bits);
    const chunk = this.#silence();
    tail.copy(chunk);
    this.#tail = null;
    this.#playing = false;
    return chunk;
  }

  #silence(): Buffer {
    return Buffer.alloc(this.#geometry.chunkFrames * this.#frameBytes);
  }

  #take(frames: number): Buffer {
    const size = frames * this.#frameBytes;
    const taken = Buffer.from(this.#pending.subarray(0, size));
    this.#pending = this.#pending.subarray(size);
    return taken;
  }
}
