import { WavTooLarge } from './wav-errors.js';
import { MOST_CHANNELS, SUBFORMAT_TAIL, TAG } from './wav-format.js';

export type WavEncoding = 'float32' | 'float64' | 'int16' | 'int24' | 'int32';

export interface WavToEncode {
  readonly rate_Hz: number;
  /** One array per channel, all of one length; full scale = 1.0 peak. */
  readonly channels: readonly Float64Array[];
  readonly format: WavEncoding;
}

const BYTES: Readonly<Record<WavEncoding, number>> = { float32: 4, float64: 8, int16: 2, int24: 3, int32: 4 };

/**
 * Writes a WAV file. Floats of 32 bits are rounded to single precision. Integers are rounded to the nearest step of
 * 2^(1-b) and held at full scale; dither, where wanted, is the caller's business.
 *
 * The header is the plain one for one or two channels of 16 bits or float, else the extensible one with
 * no loudspeaker positions, as bench channels have none.
 *
 * @returns the whole file
 * @throws WavTooLarge beyond 4 GiB; RangeError for channels of unequal length, more than 64 of them or
 *   none, a rate that is no positive whole number, and integers from samples that are not numbers
 */
export function encodeWav({ rate_Hz, channels, format }: WavToEncode): Uint8Array {
  checkShape(rate_Hz, channels);
  const frames = channels[0]!.length;
  const dataBytes = frames * channels.length * BYTES[format];
  const head = header(rate_Hz, channels.length, frames, format);
  const total = head.length + dataBytes + (dataBytes % 2);
  if (total - 8 > 0xffff_ffff)
    throw new WavTooLarge(
      `${dataBytes} bytes of samples do not fit into one WAV file`,
      'At most 4 GiB fit: record less at a time',
    );
  const file = new Uint8Array(total);
  const view = new DataView(file.buffer);
  file.set(head);
  view.setUint32(4, total - 8, true);
  view.setUint32(head.length - 4, dataBytes, true);
  const write = writer(format);
  const frameBytes = channels.length * BYTES[format];
  channels.forEach((samples, channel) => {
    let at = head.length + channel * BYTES[format];
    for (let i = 0; i < frames; i += 1, at += frameBytes) write(view, at, samples[i]!);
  });
  return file;
}

function checkShape(rate_Hz: number, channels: readonly Float64Array[]): void {
  if (channels.length < 1 || channels.length > MOST_CHANNELS) {
    throw new RangeError(`a WAV file takes 1 to ${MOST_CHANNELS} channels, got ${channels.length}`);
  }
  if (channels.some((samples) => samples.length !== channels[0]!.length)) {
    throw new RangeError('the channels of a WAV file must be equally long');
  }
  if (!Number.isInteger(rate_Hz) || rate_Hz < 1 || rate_Hz > 0xffff_ffff) {
    throw new RangeError(`a WAV file needs a whole number of samples per second, got ${rate_Hz}`);
  }
}

/** Everything before the first sample, with the two lengths (bytes 4 to 7 and the last 4) still zero. */
function header(rate_Hz: number, channels: number, frames: number, format: WavEncoding): number[] {
  const bytes = BYTES[format];
  const float = format === 'float32' || format === 'float64';
  const tag = float ? TAG.float : TAG.int;
  const extensible = channels > 2 || (!float && bytes > 2);
  const plain = [
    ...u16(extensible ? TAG.extensible : tag),
    ...u16(channels),
    ...u32(rate_Hz),
    ...u32(rate_Hz * channels * bytes),
    ...u16(channels * bytes),
    ...u16(8 * bytes),
  ];
  const extension = extensible
    ? [...u16(22), ...u16(8 * bytes), ...u32(0), ...u16(tag), ...SUBFORMAT_TAIL]
    : float
      ? u16(0)
      : [];
  const fmt = [...plain, ...extension];
  // The fact chunk is due for everything that is not plain integer PCM.
  const fact = float || extensible ? [...text('fact'), ...u32(4), ...u32(frames)] : [];
  return [
    ...text('RIFF'),
    ...u32(0),
    ...text('WAVE'),
    ...text('fmt '),
    ...u32(fmt.length),
    ...fmt,
    ...fact,
    ...text('data'),
    ...u32(0),
  ];
}

type SampleWriter = (view: DataView, at: number, sample: number) => void;

function writer(format: WavEncoding): SampleWriter {
  switch (format) {
    case 'float32':
      return (view, at, sample) => view.setFloat32(at, sample, true);
    case 'float64':
      return (view, at, sample) => view.setFloat64(at, sample, true);
    case 'int16':
      return (view, at, sample) => view.setInt16(at, step(sample, 16), true);
    case 'int24':
      return (view, at, sample) => {
        const whole = step(sample, 24);
        view.setUint8(at, whole & 0xff);
        view.setInt16(at + 1, whole >> 8, true);
      };
    case 'int32':
      return (view, at, sample) => view.setInt32(at, step(sample, 32), true);
  }
}

function step(sample: number, bits: number): number {
  if (Number.isNaN(sample)) throw new RangeError('a sample that is not a number has no integer value');
  const scale = 2 ** (bits - 1);
  return Math.min(Math.max(Math.round(sample * scale), -scale), scale - 1);
}

function u16(value: number): number[] {
  return [value & 0xff, (value >> 8) & 0xff];
}

function u32(value: number): number[] {
  return [...u16(value & 0xffff), ...u16(value >>> 16)];
}

function text(letters: string): number[] {
  return [...letters].map((letter) => letter.charCodeAt(0));
}
