import { describe, expect, it } from 'vitest';
import { classify, conformance } from '../../src/judgement/bounds/guard-band.js';
import { preferredBelow } from '../../src/judgement/rating/preferred-number.js';
import { leastGain, powerGainBetween } from '../../src/judgement/restate/clipping-model.js';

describe('guard band (JCGM 106:2012, 8.3; ILAC-G8:09/2019)', () => {
  const U = 1.25;
  it.each([
    [-2, 'not met'],
    // At P + U = claim the power may still reach it, at P - U = claim it does.
    [-1, 'inconclusive'],
    [0, 'inconclusive'],
    [1, 'met'],
    [2, 'met'],
  ])('a margin of %d U is %s', (margin, expected) => {
    expect(classify(100 + margin * U, U, 100)).toBe(expected);
  });

  /** U of 1.089342 % of the reading: three rectangular limits and a repeatability, worked by hand. */
  it.each([
    [101.2, 'met'],
    // The limit is 100 W / (1 - 0.01089342) = 101.10134 W.
    [101.1014, 'met'],
    [101.1011, 'inconclusive'],
    [100.5, 'inconclusive'],
    [98.9225, 'inconclusive'],
    [98.9223, 'not met'],
    [98.9, 'not met'],
  ])('%d W against a claim of 100 W with U of 1.089342 %% is %s', (power_W, expected) => {
    expect(classify(power_W, power_W * 0.01089342, 100)).toBe(expected);
  });

  it('nothing can be told without an uncertainty', () => {
    expect(classify(150, null, 100)).toBe('inconclusive');
  });

  /** Normal distribution function (JCGM 106 clause 7), u of 0.544671 % of the reading. */
  it.each([
    [100.5, 0.819489],
    [101, 0.965452],
    [99.5, 0.178108],
  ])('%d W conforms to 100 W with the probability %d', (power_W, expected) => {
    expect(conformance(power_W, power_W * 0.00544671, 100)).toBeCloseTo(expected, 6);
  });

  it.each([
    [2, 0.97724986805182],
    [-2, 0.02275013194818],
    [0, 0.5],
    // Tables of the normal distribution.
    [-5, 2.866515719e-7],
    [4, 0.999968328758],
  ])('a limit %d u away is kept with the probability %d', (z, expected) => {
    expect(conformance(100 + z, 1, 100)).toBeCloseTo(expected, 11);
  });
});

describe('models of clipping (closed forms of their Fourier series)', () => {
  it('an ideal clipper gives 1.039378 times the power at 1 % as at 0.1 %, and 1.229360 times from 1 % to 10 %', () => {
    expect(powerGainBetween(0.1, 1).hard).toBeCloseTo(1.039378, 6);
    expect(powerGainBetween(1, 10).hard).toBeCloseTo(1.22936, 6);
  });

  it('with harmonics up to the twentieth it is 1.038789, the least of all models', () => {
    expect(powerGainBetween(0.1, 1).range[0]).toBeCloseTo(1.038789, 6);
  });

  it('a cubic curve gives 9.23403 times, the most', () => {
    expect(powerGainBetween(0.1, 1).range[1]).toBeCloseTo(9.23403, 5);
  });

  it('from the onset of clipping to 1 % the power grows by 4.7506 %', () => {
    expect(leastGain(0, 1)).toBeCloseTo(1.047506, 6);
  });

  it('no power is gained towards a limit that is passed already', () => {
    expect([leastGain(1, 1), leastGain(2, 1)]).toEqual([1, 1]);
  });
});

describe('preferred numbers R20 (ISO 3)', () => {
  it.each([
    [100, 100],
    [99.99, 90],
    [1.13, 1.12],
    [0.99, 0.9],
    [1, 1],
    [223.9, 200],
    [224, 224],
    [1e-3, 1e-3],
  ])('the highest one not above %d is %d', (value, expected) => {
    expect(preferredBelow(value)).toBeCloseTo(expected, 12);
  });

  it('is null for what has no preferred number below', () => {
    expect([0, -3, Number.NaN, Number.POSITIVE_INFINITY].map(preferredBelow)).toEqual([
      null,
      null,
      null,
      null,
    ]);
  });
});
