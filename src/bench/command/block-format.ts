/** Bytes of one sample: 32-bit float, little-endian. */
const SAMPLE_BYTES = 4;

/** Interleaves channels of equal length into 32-bit floats, little-endian. Full scale = 1.0 */
export function packBlock(channels: readonly Float64Array[]): Buffer {
  const [{ length: frames } = new Float64Array(0)] = channels;
  const bytes = Buffer.alloc(frames * channels.length * SAMPLE_BYTES);
  channels.forEach((samples, channel) => {
    for (let frame = 0; frame < frames; frame += 1)
      bytes.writeFloatLE(samples[frame]!, SAMPLE_BYTES * (frame * channels.length + channel));
  });
  return bytes;
}

/** Gathers blocks of that format from bytes that come in cut anywhere. */
export class BlockReader {
  #rest: Buffer = Buffer.alloc(0);

  /** @param width samples in a frame */
  constructor(
    private readonly width: number,
    private readonly frames: number,
  ) {}

  /** The blocks that are whole by now, one array per channel each; the remaining bytes wait for their other half. */
  read(bytes: Buffer): Float64Array[][] {
    const size = this.width * this.frames * SAMPLE_BYTES;
    const all = Buffer.concat([this.#rest, bytes]);
    const count = Math.floor(all.length / size);
    this.#rest = all.subarray(count * size);
    return Array.from({ length: count }, (_, i) => this.#block(all.subarray(i * size, (i + 1) * size)));
  }

  #block(bytes: Buffer): Float64Array[] {
    return Array.from({ length: this.width }, (_, channel) =>
      Float64Array.from({ length: this.frames }, (_, frame) =>
        bytes.readFloatLE(SAMPLE_BYTES * (frame * this.width + channel)),
      ),
    );
  }
}
