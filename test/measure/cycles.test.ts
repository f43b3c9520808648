import { describe, expect, it } from 'vitest';
import { cyclesAt } from '../../src/measure/cycles.js';

describe('cyclesAt', () => {
  it('keeps its digits over millions of samples', () => {
    // p / 2^40 cycles per sample: the exact fraction follows from integers.
    const numerator = 439_804_651_111n;
    const one = 2n ** 40n;
    const f = Number(numerator) / 2 ** 40;
    for (const n of [0, 1, 7, 65_535, 1_048_575, 4_194_301]) {
      const exact = Number((numerator * BigInt(n)) % one) / 2 ** 40;
      expect(Math.abs(cyclesAt(f, n) - exact)).toBeLessThan(1e-15 + 1e-16);
    }
  });

  it('lies from 0 up to 1, for negative samples too', () => {
    expect(cyclesAt(0.25, -1)).toBe(0.75);
    expect(cyclesAt(0.25, 4)).toBe(0);
    expect(cyclesAt(0.3, -1_000_001)).toBeCloseTo(0.7, 9);
  });
});
