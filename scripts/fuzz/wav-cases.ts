import fc from 'fast-check';
import { encodeWav } from '../../src/signal/encode-wav.js';

/** Byte offsets at which a plain WAV file keeps what its reader goes by: sizes, tag, channels, rate, widths. */
const FIELDS = [0, 4, 8, 12, 16, 20, 22, 24, 28, 32, 34, 36, 40, 44];
/** Numbers that a careless reader multiplies, allocates or divides by. */
const NUMBERS = [
  0, 1, 2, 3, 7, 15, 16, 17, 40, 64, 65, 0x7f, 0xff, 0x7fff, 0xffff, 0xfffe, 0x7fff_ffff, 0xffff_ffff,
];

type ByteEdit = (bytes: Uint8Array) => Uint8Array;

const whole: fc.Arbitrary<Uint8Array> = fc
  .tuple(
    fc.constantFrom('int16', 'int24', 'int32', 'float32' as const),
    fc.integer({ min: 1, max: 4 }),
    fc.integer({ min: 1, max: 60 }),
    fc.constantFrom(8000, 44_100, 48_000, 192_000),
    fc.boolean(),
  )
  .map(([format, channels, frames, rate_Hz, asRf64]) => {
    const samples = Array.from({ length: channels }, (_, c) =>
      Float64Array.from({ length: frames }, (_, n) => Math.sin(n + c)),
    );
    const bytes = encodeWav({ rate_Hz, channels: samples, format } as Parameters<typeof encodeWav>[0]);
    return asRf64 ? rf64(bytes) : bytes;
  });

/** The same file in the 64-bit form, its sizes moved to a chunk of their own. */
function rf64(bytes: Uint8Array): Uint8Array {
  const out = new Uint8Array(bytes.length + 36);
  const view = new DataView(out.buffer);
  out.set(bytes.subarray(0, 12));
  out.set(new TextEncoder().encode('RF64'));
  view.setUint32(4, 0xffff_ffff, true);
  out.set(new TextEncoder().encode('ds64'), 12);
  view.setUint32(16, 28, true);
  view.setBigUint64(20, BigInt(out.length - 8), true);
  view.setBigUint64(28, BigInt(bytes.length - 44), true);
  out.set(bytes.subarray(12), 48);
  return out;
}

const share = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });

const flipped: fc.Arbitrary<ByteEdit> = fc
  .tuple(share, fc.integer({ min: 1, max: 255 }))
  .map(([where, mask]) => (bytes) => {
    const out = bytes.slice();
    const at = Math.floor(where * out.length);
    if (at < out.length) out[at] = out[at]! ^ mask;
    return out;
  });

const headerFlipped: fc.Arbitrary<ByteEdit> = fc.tuple(fc.nat(80), fc.integer({ min: 1, max: 255 })).map(
  ([at, mask]) =>
    (bytes) =>
      bytes.map((byte, i) => (i === at ? byte ^ mask : byte)),
);

const fieldSet: fc.Arbitrary<ByteEdit> = fc
  .tuple(
    fc.constantFrom(...FIELDS),
    fc.constantFrom(1, 2, 4, 8),
    fc.oneof(fc.constantFrom(...NUMBERS), fc.nat(), fc.integer({ min: 0, max: 0xffff_ffff })),
  )
  .map(([at, width, value]) => (bytes) => {
    const out = bytes.slice();
    for (let i = 0; i < width && at + i < out.length; i++)
      out[at + i] = Math.floor(value / 256 ** (i % 4)) % 256;
    return out;
  });

const truncated: fc.Arbitrary<ByteEdit> = share.map(
  (where) => (bytes) => bytes.slice(0, Math.floor(where * bytes.length)),
);

const grown: fc.Arbitrary<ByteEdit> = fc
  .uint8Array({ minLength: 1, maxLength: 40 })
  .map((more) => (bytes) => {
    const out = new Uint8Array(bytes.length + more.length);
    out.set(bytes);
    out.set(more, bytes.length);
    return out;
  });

/** A foreign chunk, honest about its length or not, before the format or before the samples. */
const chunkPut: fc.Arbitrary<ByteEdit> = fc
  .tuple(
    fc.constantFrom(12, 36),
    fc.constantFrom('LIST', 'fmt ', 'data', 'ds64', 'junk', '\0\0\0\0'),
    fc.uint8Array({ maxLength: 30 }),
    fc.option(fc.integer({ min: 0, max: 0xffff_ffff })),
  )
  .map(([wanted, name, body, stated]) => (bytes) => {
    const at = Math.min(wanted, bytes.length);
    const out = new Uint8Array(bytes.length + 8 + body.length);
    out.set(bytes.subarray(0, at));
    out.set(new TextEncoder().encode(name), at);
    new DataView(out.buffer).setUint32(at + 4, stated ?? body.length, true);
    out.set(body, at + 8);
    out.set(bytes.subarray(at), at + 8 + body.length);
    return out;
  });

const edit = fc.oneof(
  { weight: 2, arbitrary: flipped },
  { weight: 4, arbitrary: headerFlipped },
  { weight: 6, arbitrary: fieldSet },
  { weight: 2, arbitrary: truncated },
  { weight: 1, arbitrary: grown },
  { weight: 2, arbitrary: chunkPut },
);

const damaged = fc
  .tuple(whole, fc.array(edit, { minLength: 1, maxLength: 4 }))
  .map(([bytes, edits]) => edits.reduce((now, change) => change(now), bytes));

/** Thousands of chunks of nothing, or a megabyte behind a small header. */
const long: fc.Arbitrary<Uint8Array> = fc
  .tuple(whole, fc.nat(255), fc.nat(1 << 20))
  .map(([bytes, fill, length]) => {
    const out = new Uint8Array(bytes.length + length).fill(fill);
    out.set(bytes);
    return out;
  });

/** WAV files with bytes flipped, sizes and counts replaced, chunks put in, ends cut off; and some that never were any. */
export const wavCases: fc.Arbitrary<Uint8Array> = fc.oneof(
  { weight: 940, arbitrary: damaged },
  { weight: 50, arbitrary: fc.uint8Array({ maxLength: 120 }) },
  { weight: 10, arbitrary: long },
);
