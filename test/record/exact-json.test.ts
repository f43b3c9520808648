import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fromJson, toJson } from '../../src/record/exact-json.js';

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

  it('takes a word for a number only where it is one of its own', () => {
    for (const word of ['constructor', 'toString', '__proto__', '12'])
      expect(fromJson(`{"number":"${word}"}`)).toEqual({ number: word });
  });
});
