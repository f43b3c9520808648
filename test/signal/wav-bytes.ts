/** Builds WAV files byte by byte, without the code under test. */

export function ascii(text: string): number[] {
  return [...text].map((letter) => letter.charCodeAt(0));
}

/** A whole number, least significant byte first. */
export function little(value: number, bytes: number): number[] {
  return Array.from({ length: bytes }, (_, i) => Math.floor(value / 256 ** i) % 256);
}

export function chunk(name: string, body: readonly number[], size = body.length): number[] {
  return [...ascii(name), ...little(size, 4), ...body, ...(body.length % 2 ? [0] : [])];
}

export interface FormatFields {
  readonly tag?: number;
  readonly channels?: number;
  readonly rate_Hz?: number;
  readonly bits?: number;
  readonly frameBytes?: number;
}

export function formatChunk({
  tag = 1,
  channels = 1,
  rate_Hz = 48_000,
  bits = 16,
  frameBytes = channels * Math.ceil(bits / 8),
}: FormatFields = {}): number[] {
  return chunk('fmt ', formatBody(tag, channels, rate_Hz, frameBytes, bits));
}

/** Sub-format 00000001-0000-0010-8000-00AA00389B71 and its like, in the order of the bytes on disk. */
const GUID_TAIL = [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xaa, 0x00, 0x38, 0x9b, 0x71];

export function extensibleChunk(fields: {
  channels: number;
  bits: number;
  validBits: number;
  tag: number;
  guidTail?: readonly number[];
}): number[] {
  const { channels, bits, validBits, tag, guidTail = GUID_TAIL } = fields;
  const plain = formatBody(0xfffe, channels, 48_000, (channels * bits) / 8, bits);
  return chunk('fmt ', [
    ...plain,
    ...little(22, 2),
    ...little(validBits, 2),
    ...little(0, 4),
    ...little(tag, 2),
    ...guidTail,
  ]);
}

function formatBody(tag: number, channels: number, rate_Hz: number, frameBytes: number, bits: number) {
  return [
    ...little(tag, 2),
    ...little(channels, 2),
    ...little(rate_Hz, 4),
    ...little(rate_Hz * frameBytes, 4),
    ...little(frameBytes, 2),
    ...little(bits, 2),
  ];
}

/** A RIFF file of these chunks; the size in its head is right unless another is given. */
export function riff(chunks: readonly (readonly number[])[], size?: number, kind = 'RIFF'): Uint8Array {
  const body = chunks.flat();
  return Uint8Array.from([...ascii(kind), ...little(size ?? body.length + 4, 4), ...ascii('WAVE'), ...body]);
}
