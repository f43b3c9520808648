import { endianness } from 'node:os';

/** Numbers as a blob: little-endian 64-bit floats, the same on every machine, every value kept exactly. */
export function packDoubles(values: readonly number[]): Buffer {
  const bytes = Buffer.alloc(values.length * 8);
  values.forEach((value, index) => {
    bytes.writeDoubleLE(value, index * 8);
  });
  return bytes;
}

/**
 * The inverse of `packDoubles`. A run may hold a million of them: they are taken over at once, not one by one.
 *
 * @throws SyntaxError, as a text that does not parse, when the blob is no whole number of them
 */
export function unpackDoubles(bytes: Buffer): number[] {
  if (bytes.length % 8 !== 0)
    throw new SyntaxError(`${bytes.length} bytes are not a whole number of doubles`);
  const own = new Uint8Array(bytes);
  if (endianness() === 'BE') Buffer.from(own.buffer).swap64();
  return Array.from(new Float64Array(own.buffer));
}
