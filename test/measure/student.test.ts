import { describe, expect, it } from 'vitest';
import { coverageFactor } from '../../src/measure/student.js';

describe('coverageFactor', () => {
  it('never rises with the degrees of freedom, and ends at 2 however many there are', () => {
    let last = Number.POSITIVE_INFINITY;
    for (let power = 0; power <= 300; power += 0.25) {
      const factor = coverageFactor(10 ** power);
      expect(factor).toBeLessThanOrEqual(last + 1e-7);
      expect(factor).toBeGreaterThanOrEqual(2);
      last = factor;
    }
    expect(last).toBe(2);
    expect(coverageFactor(null)).toBe(2);
  });
});
