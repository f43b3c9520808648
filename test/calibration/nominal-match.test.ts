import { describe, expect, it } from 'vitest';
import { nominalMatch, nominalWords } from '../../src/calibration/nominal-match.js';

describe('nominalMatch', () => {
  it.each([
    ['near', 8, 8],
    ['near', 7.2, 8],
    ['near', 8.8, 8],
    ['near', 3.6, 4],
    ['off', 7.19, 8],
    ['off', 8.81, 8],
    ['off', 5.68, 8],
    ['off', 11.28, 8],
    ['another', 5.67, 8],
    ['another', 11.29, 8],
    ['another', 4, 8],
    ['another', 16, 8],
    ['another', 8, 4],
    ['another', 6, 4],
    ['another', 0, 8],
    ['another', Number.NaN, 8],
    ['another', Number.POSITIVE_INFINITY, 8],
  ] as const)('is %s for %d ohm in the place of %d ohm', (match, measured, nominal) =>
    expect(nominalMatch(measured, nominal)).toBe(match),
  );

  it('never takes one common load for another: 2, 4, 8 and 16 ohm, each within a tenth of itself', () => {
    const common = [2, 4, 8, 16];
    for (const nominal of common)
      for (const other of common)
        for (const share of [0.9, 1, 1.1])
          expect(nominalMatch(other * share, nominal)).toBe(other === nominal ? 'near' : 'another');
  });

  it('is told with both figures', () => {
    expect(nominalWords(6.9, 8)).toBe('the 8 ohm load measures 6.9 ohm, 14 % less');
    expect(nominalWords(4.6, 4)).toBe('the 4 ohm load measures 4.6 ohm, 15 % more');
  });
});
