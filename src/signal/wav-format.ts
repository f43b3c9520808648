import { WavBadHeader, WavTruncated, WavUnsupportedCoding, type Where } from './wav-errors.js';

/** What the `fmt ` chunk says about every sample. */
export interface WavFormat {
  readonly coding: 'int' | 'float';
  readonly channels: number;
  readonly rate_Hz: number;
  /** Significant bits. */
  readonly bits: number;
  /** Bytes that one sample of one channel takes; integers sit at its upper end. */
  readonly sampleBytes: number;
}

/** Codes of the `fmt ` chunk (Microsoft, "Multiple Channel Audio Data and WAVE Files", 2007). */
export const TAG = { int: 0x0001, float: 0x0003, extensible: 0xfffe } as const;

/** Bytes 2 to 15 of the sub-format identifier, the same for every coding that also has a plain tag. */
export const SUBFORMAT_TAIL = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71] as const;

export const MOST_CHANNELS = 64;

/** Most samples of one file, all channels together: 2 GiB as numbers of double precision. */
export const MOST_SAMPLES = 2 ** 28;

/** Rates far below telephony and far above any sound interface come from a broken header. Common practice, no source. */
export const LEAST_RATE_HZ = 1000;
export const MOST_RATE_HZ = 10_000_000;

const PLAIN_BYTES = 16;
const EXTENSIBLE_BYTES = 40;

const READABLE = 'Save it as PCM of 8 to 32 bits or as 32- or 64-bit float';

const CODING_NAMES: Readonly<Record<number, string>> = {
  2: 'ADPCM',
  6: 'A-law',
  7: 'mu-law',
  17: 'IMA ADPCM',
  85: 'MPEG layer 3',
};

/**
 * Reads the body of a `fmt ` chunk: plain PCM, plain float, or the extensible form of either.
 *
 * @throws WavTruncated, WavBadHeader, WavUnsupportedCoding
 */
export function readFormat(body: DataView, where: Where): WavFormat {
  needBytes(body, PLAIN_BYTES, where);
  const tag = body.getUint16(0, true);
  const channels = body.getUint16(2, true);
  const rate_Hz = body.getUint32(4, true);
  const frameBytes = body.getUint16(12, true);
  const containerBits = body.getUint16(14, true);
  if (channels < 1 || channels > MOST_CHANNELS)
    throw new WavBadHeader(
      `the header says ${channels} channels`,
      `A file has 1 to ${MOST_CHANNELS} channels`,
      where,
    );
  if (rate_Hz < LEAST_RATE_HZ || rate_Hz > MOST_RATE_HZ)
    throw new WavBadHeader(
      `the header says ${rate_Hz} samples per second, at which no sound is recorded`,
      'A rate such as 48000 must stand there',
      where,
    );
  const extended = tag === TAG.extensible ? readExtension(body, where) : { tag, validBits: 0 };
  const coding = codingOf(extended.tag, containerBits, where);
  const bits = extended.validBits || containerBits;
  const sampleBytes = Math.ceil(containerBits / 8);
  if (bits > containerBits || frameBytes !== channels * sampleBytes)
    throw new WavBadHeader(
      `the header says ${frameBytes} bytes a frame and ${bits} significant bits for ${channels} channels of ${containerBits} bits`,
      `${channels * sampleBytes} bytes a frame and at most ${containerBits} bits would be right`,
      where,
    );
  return { coding, channels, rate_Hz, bits, sampleBytes };
}

function readExtension(body: DataView, where: Where): { tag: number; validBits: number } {
  needBytes(body, EXTENSIBLE_BYTES, where);
  if (SUBFORMAT_TAIL.some((byte, i) => body.getUint8(26 + i) !== byte))
    throw new WavUnsupportedCoding('the samples are in a private coding', READABLE, where);
  return { tag: body.getUint16(24, true), validBits: body.getUint16(18, true) };
}

function codingOf(tag: number, bits: number, where: Where): 'int' | 'float' {
  if (tag === TAG.int && bits >= 1 && bits <= 32) return 'int';
  if (tag === TAG.float && (bits === 32 || bits === 64)) return 'float';
  const name =
    tag === TAG.int
      ? `${bits}-bit integer`
      : tag === TAG.float
        ? `${bits}-bit float`
        : (CODING_NAMES[tag] ?? `coding number ${tag}`);
  throw new WavUnsupportedCoding(`the samples are ${name}`, READABLE, where);
}

function needBytes(body: DataView, bytes: number, where: Where): void {
  if (body.byteLength >= bytes) return;
  throw new WavTruncated(
    `the format chunk has ${body.byteLength} bytes of the ${bytes} it needs`,
    'Copy or record the file again',
    where,
  );
}
