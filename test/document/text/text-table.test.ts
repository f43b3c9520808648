import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { textTable } from '../../../src/document/text/text-table.js';

const lines = (text: string) => text.split('\n');

describe('textTable', () => {
  it('puts words in columns without a frame, figures at the right where asked', () => {
    expect(
      textTable(
        ['part', 'W'],
        [
          ['one', '5'],
          ['three', '250'],
        ],
        [1],
      ),
    ).toBe('part     W\none      5\nthree  250');
  });

  it('counts letters that take two columns as two, and keeps the lines of a cell under each other', () => {
    const rows = [
      ['增幅器', '1 W\n2 W', 'first'],
      ['amp', '10 W', 'second'],
    ];
    expect(lines(textTable(['unit', 'power', 'run'], rows, [1]))).toEqual([
      'unit    power  run',
      '增幅器    1 W  first',
      '          2 W',
      'amp      10 W  second',
    ]);
  });

  it('breaks the widest cells between words to stay within a width', () => {
    const text = textTable(
      ['step', 'does'],
      [['a', 'climb at 1 kHz from 50.0 mW, mark 0.1 % and 1 %']],
      [],
      30,
    );
    expect(lines(text)).toEqual([
      'step  does',
      'a     climb at 1 kHz from',
      '      50.0 mW, mark 0.1 % and',
      '      1 %',
    ]);
  });

  it('breaks a word that is longer than its column', () => {
    const text = textTable(['name'], [['x'.repeat(25)]], [], 10);
    expect(lines(text)).toEqual(['name', 'x'.repeat(10), 'x'.repeat(10), 'x'.repeat(5)]);
  });

  it('leaves a table that fits as it is', () => {
    const rows = [['a', 'some words']];
    expect(textTable(['x', 'y'], rows, [], 80)).toBe(textTable(['x', 'y'], rows));
  });

  it('stays within any width that leaves each of its columns eight characters, and loses no letter', () => {
    const cell = fc.stringMatching(/^[a-z ]{0,60}$/);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(cell, cell, cell), { minLength: 1, maxLength: 5 }),
        fc.integer({ min: 28, max: 120 }),
        (rows, width) => {
          const text = textTable(['p', 'q', 'r'], rows, [], width);
          // Where rows are set one by one the names of the columns come more than once.
          const count = (one: string, letter: string) => one.split(letter).length - 1;
          expect(Math.max(...lines(text).map(({ length }) => length))).toBeLessThanOrEqual(width);
          for (const letter of new Set(rows.flat().join('').replaceAll(' ', '')))
            expect(count(text, letter)).toBeGreaterThanOrEqual(count(rows.flat().join(''), letter));
        },
      ),
      { seed: 5, numRuns: 200 },
    );
  });
});

describe('a table whose cells would become too tall', () => {
  const long = (words: number) => Array(words).fill('word').join(' ');

  it('sets a long first cell above its figures', () => {
    const rows = [
      [long(12), '1', '2', '3', '4'],
      ['short', '5', '6', '7', '8'],
    ];
    expect(lines(textTable(['source', 'one', 'two', 'three', 'four'], rows, [1, 2, 3, 4], 32))).toEqual([
      'source',
      '  one  two  three  four',
      'word word word word word word',
      '  word word word word word word',
      '    1    2      3     4',
      'short',
      '    5    6      7     8',
    ]);
  });

  it('sets rows of words one by one, each cell behind the name of its column, and leaves empty ones out', () => {
    const rows = [
      ['first', long(20), ''],
      ['second', 'x', 'y'],
    ];
    expect(lines(textTable(['name', 'meaning', 'where'], rows, [], 30))).toEqual([
      'first',
      '  meaning: word word word word',
      '    word word word word word',
      '    word word word word word',
      '    word word word word word',
      '    word',
      'second',
      '  meaning: x',
      '  where: y',
    ]);
  });
});
