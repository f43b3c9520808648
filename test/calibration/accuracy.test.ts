import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { accuracyLimit, accuracyText, parseAccuracy } from '../../src/calibration/accuracy.js';
import { BadQuantity } from '../../src/units/parse.js';

describe('parseAccuracy', () => {
  it.each([
    ['0.5 % + 3 counts', { percent: 0.5, counts: 3 }],
    ['±0.5%+3 digits', { percent: 0.5, counts: 3 }],
    ['1 % + 1 count', { percent: 1, counts: 1 }],
    ['.25 %', { percent: 0.25, counts: 0 }],
    ['2 counts', { percent: 0, counts: 2 }],
  ])('reads %j', (text, accuracy) => expect(parseAccuracy(text)).toEqual(accuracy));

  it.each([
    '',
    '0.5',
    '3',
    '0.5 % 3 counts',
    '+ 3 counts',
    '0.5 % +',
    '-1 %',
    '0 %',
    '0 % + 0 counts',
    '101 %',
    '0,5 %',
    '1 % + 1.5 counts',
    '1 % + 2 %',
  ])('refuses %j', (text) => {
    expect(() => parseAccuracy(text)).toThrow(BadQuantity);
    expect(() => parseAccuracy(text)).toThrow("expected a meter's accuracy such as 0.5 % + 3 counts, got");
  });

  it('reads back what accuracyText prints', () => {
    const percent = fc.integer({ min: 0, max: 9999 }).map((n) => n / 100);
    fc.assert(
      fc.property(percent, fc.nat(999), (share, counts) => {
        fc.pre(share + counts > 0);
        const accuracy = { percent: share, counts };
        expect(parseAccuracy(accuracyText(accuracy))).toEqual(accuracy);
      }),
      { seed: 3 },
    );
  });
});

describe('accuracyLimit', () => {
  it('is 0.1714 V for 0.5 % of 28.28 V and three counts of 10 mV', () => {
    // By hand: 0.005 x 28.28 V + 3 x 0.01 V.
    expect(accuracyLimit({ percent: 0.5, counts: 3 }, 28.28, 0.01)).toBeCloseTo(0.1714, 12);
  });
});
