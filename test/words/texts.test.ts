import { readFileSync } from 'node:fs';
import { describe, expect, it, test } from 'vitest';
import { missingQuantities, otherNames, termsOf } from '../../scripts/words/glossary.js';
import { markdownTexts, yamlTexts } from '../../scripts/words/page-texts.js';
import { foundPhrases } from '../../scripts/words/phrases.js';
import { longSentences } from '../../scripts/words/sentences.js';
import { sourceTexts } from '../../scripts/words/source-texts.js';

const textsOf = (texts: readonly { text: string; line: number }[]) =>
  texts.map(({ line, text }) => `${line}: ${text}`);

/** A dollar, so that a text can show a template without being one. */
const D = '$';

describe('the texts of a source', () => {
  const of = (source: string) => textsOf(sourceTexts('a.ts', source));

  it('are strings and templates of more than one word, each whole', () =>
    expect(
      of(`const a = \`the ${D}{b ? \`inner ${D}{c} text\` : { d: "}" }.d} runs on\`;\nf("one two", "one");`),
    ).toEqual(['1: inner VALUE text', '1: the VALUE runs on', '2: one two']));

  it('are one where literals are added', () =>
    expect(of(`x('first half, ' +\n  \`second ${D}{n} half\`, 'another one')`)).toEqual([
      '1: first half, second VALUE half',
      '2: another one',
    ]));

  it('are neither comments, regular expressions nor imported paths', () =>
    expect(
      of(
        "import a from './some path';\n// 'a comment here'\nif (/it's \"a test\"/.test(b)) c = d / e; // 'x y'",
      ),
    ).toEqual([]));

  it('leave out keys that a message quotes', () =>
    expect(of('const a = "give \'mend\' or `go on` here";')).toEqual(['1: give VALUE or VALUE here']));
});

describe('the texts of a page', () => {
  it('are paragraphs, headings, items and cells, without code', () =>
    expect(
      textsOf(
        markdownTexts(
          'a.md',
          '# A **title**\n\nOne [link](x.md)\nand `code`.\n\n```sh\nnpx go on\n```\n- an item\n  continued\n\n| a cell | another |\n|---|---|\n<!-- a comment -->\n\n    indented code\n',
        ),
      ),
    ).toEqual([
      '1: A title',
      '3: One link\nand VALUE.',
      '9: an item\n  continued',
      '12: a cell',
      '12: another',
    ]));
});

test('the texts of a YAML file are its comments and its values', () => {
  const texts = yamlTexts('a.yaml', '# What it is for.\nname: My bench\nloads: # two of them\n  - 8 ohm\n');
  expect(texts.map(({ text }) => text.trim()).sort()).toEqual(['My bench', 'What it is for.', 'two of them']);
});

test.each([
  ['the level asked\nfor', 'asked for'],
  ['The run goes on.', 'goes on'],
  ['calibration holds until May', 'holds until'],
  ['the least power', 'least power'],
  ['after two looks', 'two looks'],
  ['few freedom', 'freedom'],
  ['This is no bundle.', 'is no bundle'],
])('%j is found', (text, phrase) => expect(foundPhrases(text).map((one) => one.phrase)).toEqual([phrase]));

test.each([
  'at least 20 W',
  'degrees of freedom',
  'It looks like clipping.',
  'There is no run 99, and the first is no longer kept.',
  'at most 3 powers',
  'Go on to step 4.',
])('%j is left alone', (text) => expect(foundPhrases(text)).toEqual([]));

describe('a sentence', () => {
  const words = (count: number) => `${Array(count).fill('word').join(' ')}.`;
  const lengths = (text: string) => longSentences(text).map((one) => one.words);

  it.each([
    ['of 25 words passes, of 26 does not', `${words(25)} ${'W'}${words(26).slice(1)}`, [26]],
    ['counts a number and its unit as one word', `20 Hz ${words(24)}`, []],
    [
      'ends at a semicolon, a mark of HTML or an empty line',
      `${words(20).slice(0, -1)}; ${words(20)}<p>a\n\n${words(20)}`,
      [],
    ],
    ['may be longer where it asks', `${words(30).slice(0, -1)}?`, []],
    ['is none in SQL', `SELECT ${words(30)}`, []],
  ])('%s', (_, text, expected) => expect(lengths(text)).toEqual(expected));
});

describe('the glossary', () => {
  const terms = termsOf(
    '| term | meaning | not |\n|---|---|---|\n| unit | an amplifier | DUT, device under test |\n| run | x | |\n',
  );

  it('finds other names for its terms, as whole words', () => {
    expect(otherNames('The device\nunder test, a DUT.', terms).map(({ name }) => name)).toEqual([
      'DUT',
      'device under test',
    ]);
    expect(otherNames('a dutiful unit', terms)).toEqual([]);
  });

  it('misses no quantity that is declared', () => {
    expect(missingQuantities(terms)).toContain('Maximum power');
    expect(missingQuantities(termsOf(readFileSync('docs/glossary.md', 'utf8')))).toEqual([]);
  });
});
