import type { SampleBits } from './protocol.js';

/** Bytes of one frame. */
export function frameBytes(width: number, bits: SampleBits): number {
  return width * (bits / 8);
}

/**
 * Interleaves channels into packed little-endian integers.
 *
 * @param columns samples by interface channel (from 0), on the grid of `bits` already; others are silent
 * @param width interface channels in a frame
 */
export function packFrames(
  columns: ReadonlyMap<number, Float64Array>,
  frames: number,
  width: number,
  bits: SampleBits,
): Buffer {
  const bytes = Buffer.alloc(frames * frameBytes(width, bits));
  const scale = 2 ** (bits - 1);
  for (const [column, samples] of columns) {
    for (let frame = 0; frame < frames; frame += 1) {
      writeSample(bytes, frame * width + column, Math.round(samples[frame]! * scale), bits);
    }
  }
  return bytes;
}

/** Ramps packed frames to nothing along a raised cosine, in place. The last frame is zero. */
export function fadeOut(bytes: Buffer, width: number, bits: SampleBits): void {
  const frames = bytes.length / frameBytes(width, bits);
  for (let frame = 0; frame < frames; frame += 1) {
    const gain = 0.5 + 0.5 * Math.cos((Math.PI * (frame + 1)) / frames);
    for (let at = frame * width; at < (frame + 1) * width; at += 1) {
      writeSample(bytes, at, Math.round(gain * readSample(bytes, at, bits)), bits);
    }
  }
}

/** Takes packed frames as they come out of a pipe, cut anywhere, and gives whole frames by channel. */
export class FrameReader {
  #rest: Buffer = Buffer.alloc(0);

  /** @param picks interface channels (from 0) to hand out, in this order */
  constructor(
    private readonly width: number,
    private readonly bits: SampleBits,
    private readonly picks: readonly number[],
  ) {}

  /** All frames that are whole by now, full scale = 1.0; the remaining bytes wait for their other half. */
  read(bytes: Buffer): Float64Array[] {
    const all = this.#rest.length === 0 ? bytes : Buffer.concat([this.#rest, bytes]);
    const size = frameBytes(this.width, this.bits);
    const frames = Math.floor(all.length / size);
    this.#rest = Buffer.from(all.subarray(frames * size));
    const scale = 2 ** (1 - this.bits);
    return this.picks.map((pick) => {
      const samples = new Float64Array(frames);
      for (let frame = 0; frame < frames; frame += 1) {
        samples[frame] = scale * readSample(all, frame * this.width + pick, this.bits);
      }
      return samples;
    });
  }
}

function readSample(bytes: Buffer, at: number, bits: SampleBits): number {
  if (bits === 32) return bytes.readInt32LE(4 * at);
  const low = 3 * at;
  return ((bytes[low]! << 8) | (bytes[low + 1]! << 16) | (bytes[low + 2]! << 24)) >> 8;
}

function writeSample(bytes: Buffer, at: number, value: number, bits: SampleBits): void {
  if (bits === 32) {
    bytes.writeInt32LE(value, 4 * at);
    return;
  }
  const low = 3 * at;
  bytes[low] = value & 0xff;
  bytes[low + 1] = (value >> 8) & 0xff;
  bytes[low + 2] = (value >> 16) & 0xff;
}
