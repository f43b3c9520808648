import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { packDoubles, unpackDoubles } from '../../src/store/doubles.js';
import { fromJson, toJson } from '../../src/store/exact-json.js';

describe('exact JSON', () => {
  it('gives back every number, in any depth', () => {
    fc.assert(
      fc.property(fc.array(fc.double()), (numbers) => {
        const value = { list: numbers, deep: [{ numbers }] };
        // JSON has no negative zero, and nobody measures one.
        const expected = numbers.map((number) => (number === 0 ? 0 : number));
        expect(fromJson(toJson(value))).toEqual({ list: expected, deep: [{ numbers: expected }] });
      }),
      { seed: 5 },
    );
  });

  it('is plain JSON where JSON can say it', () => {
    expect(toJson({ power_W: 1.5, note: 'NaN', none: null })).toBe(
      '{"power_W":1.5,"note":"NaN","none":null}',
    );
    expect(fromJson('{"note":"NaN"}')).toEqual({ note: 'NaN' });
    expect(toJson([Number.NaN])).toBe('[{"number":"NaN"}]');
  });
});

describe('packed doubles', () => {
  it('give back every number to the bit', () => {
    fc.assert(
      fc.property(fc.array(fc.double()), (numbers) => {
        expect(unpackDoubles(packDoubles(numbers))).toStrictEqual(numbers);
      }),
      { seed: 6 },
    );
  });

  it('are little-endian IEEE 754: 1 is 00 00 00 00 00 00 f0 3f', () => {
    expect(packDoubles([1]).toString('hex')).toBe('000000000000f03f');
  });
});
