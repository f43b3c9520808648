import { describe, expect, it } from 'vitest';
import { UnitLabelInvalid, unitLabel } from '../../src/record/unit-label.js';

describe('a unit label', () => {
  it.each([
    `O'Brien's "blue" box; DROP TABLE runs; --`,
    '<script>alert(1)</script>',
    'Verstärker Nr. 7, アンプ, مضخم',
    '🔊 loud 👩‍🔧',
    'a'.repeat(200),
    '👍'.repeat(200),
  ])('may be %j', (label) => {
    expect(unitLabel(label)).toBe(label);
  });

  it('loses the space around it, so that one unit does not become two', () => {
    expect(unitLabel('  blue box \n')).toBe('blue box');
  });

  it.each([
    ['', 'it is empty'],
    [' \t ', 'it is empty'],
    ['a'.repeat(10_000), 'it has 10000 characters'],
    ['a\0b', 'U+0000 at position 2'],
    ['red \u001b[31m', 'U+001B at position 5'],
    ['two\nlines', 'U+000A at position 4'],
    ['half a pair \ud83d', 'U+D83D at position 13'],
    ['two\u2028lines', 'U+2028 at position 4'],
  ])('may not be %j', (label, what) => {
    expect(() => unitLabel(label)).toThrow(UnitLabelInvalid);
    expect(() => unitLabel(label)).toThrow(what);
  });
});
