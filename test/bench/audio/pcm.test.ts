import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FrameReader, fadeOut, frameBytes, packFrames } from '../../../src/bench/audio/pcm.js';

describe.each([24, 32] as const)('packed frames of %i bits', (bits) => {
  const least = 2 ** (1 - bits);

  it('hold little-endian two-s complement, interleaved', () => {
    const columns = new Map([
      [0, Float64Array.of(0.5, -1)],
      [2, Float64Array.of(-least, 1 - least)],
    ]);
    const bytes = packFrames(columns, 2, 3, bits);
    expect(bytes).toHaveLength(2 * frameBytes(3, bits));
    const sample = (i: number) => bytes.readIntLE((i * bits) / 8, bits / 8);
    const full = 2 ** (bits - 1);
    expect([0, 1, 2, 3, 4, 5].map(sample)).toEqual([full / 2, 0, -1, -full, 0, full - 1]);
  });

  it('come back as they went, however the pipe cuts them', () => {
    const code = fc.integer({ min: -(2 ** (bits - 1)), max: 2 ** (bits - 1) - 1 });
    const shape = fc.record({
      codes: fc.array(fc.tuple(code, code, code), { minLength: 1, maxLength: 40 }),
      cuts: fc.array(fc.integer({ min: 1, max: 37 }), { minLength: 1, maxLength: 8 }),
    });
    fc.assert(
      fc.property(shape, ({ codes, cuts }) => {
        const column = (i: 0 | 1 | 2) => Float64Array.from(codes, (frame) => frame[i] * least);
        const columns = new Map(([0, 1, 2] as const).map((i) => [i, column(i)]));
        const bytes = packFrames(columns, codes.length, 3, bits);
        const reader = new FrameReader(3, bits, [2, 0]);
        const got: number[][] = [[], []];
        for (let at = 0, turn = 0; at < bytes.length; turn += 1) {
          const size = cuts[turn % cuts.length]!;
          const [last, first] = reader.read(bytes.subarray(at, at + size));
          got[0]!.push(...last!);
          got[1]!.push(...first!);
          at += size;
        }
        expect(got).toEqual([[...column(2)], [...column(0)]]);
      }),
      { seed: 1 },
    );
  });

  it('fade along a raised cosine to exactly zero', () => {
    const level = Float64Array.from({ length: 480 }, () => 0.5);
    const bytes = packFrames(new Map([[1, level]]), 480, 2, bits);
    fadeOut(bytes, 2, bits);
    const [silent, faded] = new FrameReader(2, bits, [0, 1]).read(bytes);
    expect(silent!.every((sample) => sample === 0)).toBe(true);
    faded!.forEach((sample, i) => {
      expect(Math.abs(sample - 0.25 * (1 + Math.cos((Math.PI * (i + 1)) / 480)))).toBeLessThanOrEqual(least);
    });
    expect(faded!.at(-1)).toBe(0);
  });
});
