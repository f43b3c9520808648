import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { canonicalJson } from '../../src/bundle/canonical-json.js';
import { fromJson, toJson } from '../../src/record/exact-json.js';

const value = fc.anything({
  values: [fc.double(), fc.string({ unit: 'binary' }), fc.boolean(), fc.constant(null)],
});

describe('canonical JSON', () => {
  it('says what exact JSON says', () => {
    fc.assert(
      fc.property(value, (one) => {
        expect(fromJson(canonicalJson(one))).toEqual(fromJson(toJson(one) ?? 'null'));
      }),
      { seed: 9 },
    );
  });

  it('is one text for equal content, whatever the order of its keys', () => {
    const text = canonicalJson({ b: [1, { d: null, c: 'x' }], a: Number.NaN, none: undefined });
    expect(text).toBe('{"a":{"number":"NaN"},"b":[1,{"c":"x","d":null}]}');
    expect(canonicalJson({ none: undefined, a: Number.NaN, b: [1, { c: 'x', d: null }] })).toBe(text);
    expect(canonicalJson(-0)).toBe('0');
  });
});
