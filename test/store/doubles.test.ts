import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { packDoubles, unpackDoubles } from '../../src/store/sqlite/doubles.js';

describe('packed doubles', () => {
  it('give back every number to the bit', () => {
    fc.assert(
      fc.property(fc.array(fc.double()), (numbers) => {
        expect(unpackDoubles(packDoubles(numbers))).toStrictEqual(numbers);
      }),
      { seed: 6 },
    );
  });

  it('are refused like a text that does not parse when one of them is cut', () => {
    expect(() => unpackDoubles(packDoubles([1, 2]).subarray(0, 12))).toThrow(SyntaxError);
  });

  it('are little-endian IEEE 754: 1 is 00 00 00 00 00 00 f0 3f', () => {
    expect(packDoubles([1]).toString('hex')).toBe('000000000000f03f');
  });
});
