import fc from 'fast-check';
import stringWidth from 'string-width';
import { describe, expect, it } from 'vitest';
import { textWidth } from '../../../src/document/text/text-width.js';

/** Beginnings and ends of what has a width of its own: scripts, marks, pictures, signs that join. */
const PIECES = [
  'Verstärker No. 2',
  '± 0.20 W – 8 Ω µ …',
  'усилитель',
  'ενισχυτής',
  '增幅器',
  'アンプ',
  'ｱﾝﾌﾟ',
  '앰프',
  'مضخم',
  'प्रवर्धक',
  'e\u0301',
  'a\u0308\u0323',
  '\u200b',
  '\u00ad',
  '😀',
  '👍🏽',
  '👩‍🔬',
  '❤️',
  '❤',
  '🇨🇭',
  '1️⃣',
  '™',
  '©',
  '│▒▄█',
  '\ufffd',
];

describe('textWidth', () => {
  it.each([
    ['', 0],
    ['ohm', 3],
    ['8 Ω', 3],
    ['增幅器', 6],
    ['e\u0301', 1],
    ['👩‍🔬', 2],
  ])('of %j is %i columns', (text, columns) => {
    expect(textWidth(text)).toBe(columns);
  });

  it('agrees with a library of its own on words of many scripts, marks and pictures', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...PIECES), { maxLength: 6 }), (pieces) => {
        const text = pieces.join(' ');
        expect(textWidth(text)).toBe(stringWidth(text));
      }),
      { seed: 6, numRuns: 500 },
    );
  });

  it('agrees with it on every single character below U+3000', () => {
    const differing = Array.from({ length: 0x3000 - 0x20 }, (_, i) => String.fromCodePoint(i + 0x20)).filter(
      (one) => textWidth(one) !== stringWidth(one),
    );
    expect(differing).toEqual([]);
  });

  it('takes a whole text for as wide as its words in other order', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...PIECES), { maxLength: 6 }), (pieces) => {
        expect(textWidth(pieces.join(' '))).toBe(textWidth([...pieces].reverse().join(' ')));
      }),
      { seed: 7, numRuns: 100 },
    );
  });
});
