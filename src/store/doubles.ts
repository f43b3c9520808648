/** Numbers as a blob: little-endian 64-bit floats, the same on every machine, every value kept exactly. */
export function packDoubles(values: readonly number[]): Buffer {
  const bytes = Buffer.alloc(values.length * 8);
  values.forEach((value, index) => {
    bytes.writeDoubleLE(value, index * 8);
  });
  return bytes;
}

/** The inverse of `packDoubles`. */
export function unpackDoubles(bytes: Buffer): number[] {
  return Array.from({ length: bytes.length / 8 }, (_, index) => bytes.readDoubleLE(index * 8));
}
