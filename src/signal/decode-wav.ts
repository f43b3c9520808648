import { findChunks, type SampleChunk } from './wav-chunks.js';
import { WavNoSamples, WavTooLarge, WavTruncated, type Where } from './wav-errors.js';
import { MOST_SAMPLES, readFormat, type WavFormat } from './wav-format.js';

/** A WAV file as numbers. */
export interface Wav {
  readonly rate_Hz: number;
  /** One array per channel, all of one length; full scale = 1.0 peak. */
  readonly channels: readonly Float64Array[];
  /** Significant bits of a stored sample. */
  readonly bits: number;
  readonly format: 'int' | 'float';
  /**
   * True when the writer left the length open, as programs do that write to a pipe: the samples are then
   * all that the file holds, and nothing tells whether the end is missing.
   */
  readonly openEnded: boolean;
}

/**
 * Reads a WAV file: integers of 8 (unsigned) to 32 bits, 32- and 64-bit float, plain or extensible
 * header, RIFF or RF64 (EBU Tech 3306), 1 to 64 channels. Unknown chunks are passed over.
 *
 * An integer of b bits is divided by 2^(b-1), so that -2^(b-1) is -1. Floats come through as they are,
 * including values beyond 1 and values that are not finite.
 *
 * @param bytes the whole file
 * @param file its name, for messages
 * @param mostSamples of all channels together: a file with more is refused before any room is made for them
 * @throws WavEmptyFile, WavNotWav, WavNoSamples, WavTruncated, WavUnsupportedCoding, WavBadHeader, WavTooLarge; nothing else
 */
export function decodeWav(bytes: Uint8Array, file?: string, mostSamples = MOST_SAMPLES): Wav {
  const where = file === undefined ? {} : { where: file };
  const { formatBody, samples } = findChunks(bytes, where);
  const format = readFormat(formatBody, where);
  const frames = wholeFrames(samples, format, where);
  if (frames * format.channels > mostSamples) {
    const most = Math.floor(mostSamples / format.channels);
    throw new WavTooLarge(
      `the file holds ${frames} frames of ${format.channels} channel${format.channels === 1 ? '' : 's'}`,
      `At most ${most} frames of so many can be taken in, ${Math.floor(most / format.rate_Hz)} s of this file: cut a piece out`,
      where,
    );
  }
  const channels = Array.from({ length: format.channels }, () => unfilled(frames));
  const frameBytes = format.channels * format.sampleBytes;
  const read = reader(format);
  const block = Math.max(1, Math.floor(BLOCK_BYTES / frameBytes));
  for (let from = 0; from < frames; from += block) {
    const to = Math.min(frames, from + block);
    for (let c = 0; c < channels.length; c++)
      read(samples.body, c * format.sampleBytes, frameBytes, channels[c]!, from, to);
  }
  const { rate_Hz, bits, coding } = format;
  return { rate_Hz, channels, bits, format: coding, openEnded: samples.openEnded };
}

/** Room that every sample of will be written to: filling megabytes with zeros first would cost a third of the reading. */
function unfilled(frames: number): Float64Array {
  return new Float64Array(Buffer.allocUnsafeSlow(8 * frames).buffer, 0, frames);
}

function wholeFrames(samples: SampleChunk, format: WavFormat, where: Where): number {
  const present = samples.body.byteLength;
  const frameBytes = format.channels * format.sampleBytes;
  const frames = Math.floor(present / frameBytes);
  const left = present - frames * frameBytes;
  // Chunks are padded to an even length; where the length was left open the pad byte cannot be told apart.
  const padded = samples.openEnded && left === 1 && (frames * frameBytes) % 2 === 1;
  if (present < samples.promised || (left > 0 && !padded))
    throw new WavTruncated(truncation(samples, frameBytes), 'Copy or record the file again', where);
  if (frames === 0)
    throw new WavNoSamples('the file holds a header but no samples', 'Record it again', where);
  return frames;
}

function truncation({ body, promised }: SampleChunk, frameBytes: number): string {
  return body.byteLength < promised
    ? `the file is cut short: its header promises ${promised} bytes of samples, ${body.byteLength} are there`
    : `the file is cut short: its ${body.byteLength} bytes of samples end inside a frame of ${frameBytes} bytes`;
}

/** Read for all channels in turn: few enough to stay in a first-level cache meanwhile. */
const BLOCK_BYTES = 16_384;

/** Reads frames `from` up to `to` of the channel that begins at byte `offset` of each frame. */
type ChannelReader = (
  body: DataView,
  offset: number,
  frameBytes: number,
  out: Float64Array,
  from: number,
  to: number,
) => void;

/**
 * How to read samples; integers sit at the upper end of their bytes, so the bytes set the scale. Each coding has a loop of
 * its own: one loop that calls another function for each coding is several times as slow.
 */
function reader({ coding, sampleBytes }: WavFormat): ChannelReader {
  if (coding === 'float') return sampleBytes === 4 ? readFloat32 : readFloat64;
  return [readInt8, readInt16, readInt24, readInt32][sampleBytes - 1]!;
}

const readFloat32: ChannelReader = (body, offset, frameBytes, out, from, to) => {
  let at = offset + from * frameBytes;
  for (let n = from; n < to; n += 1, at += frameBytes) out[n] = body.getFloat32(at, true);
};

const readFloat64: ChannelReader = (body, offset, frameBytes, out, from, to) => {
  let at = offset + from * frameBytes;
  for (let n = from; n < to; n += 1, at += frameBytes) out[n] = body.getFloat64(at, true);
};

const readInt8: ChannelReader = (body, offset, frameBytes, out, from, to) => {
  let at = offset + from * frameBytes;
  for (let n = from; n < to; n += 1, at += frameBytes) out[n] = (body.getUint8(at) - 128) / 2 ** 7;
};

const readInt16: ChannelReader = (body, offset, frameBytes, out, from, to) => {
  let at = offset + from * frameBytes;
  for (let n = from; n < to; n += 1, at += frameBytes) out[n] = body.getInt16(at, true) / 2 ** 15;
};

const readInt24: ChannelReader = (body, offset, frameBytes, out, from, to) => {
  let at = offset + from * frameBytes;
  for (let n = from; n < to; n += 1, at += frameBytes)
    out[n] = (body.getUint8(at) + body.getInt16(at + 1, true) * 256) / 2 ** 23;
};

const readInt32: ChannelReader = (body, offset, frameBytes, out, from, to) => {
  let at = offset + from * frameBytes;
  for (let n = from; n < to; n += 1, at += frameBytes) out[n] = body.getInt32(at, true) / 2 ** 31;
};
