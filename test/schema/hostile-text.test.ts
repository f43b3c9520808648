import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { DocumentError } from '../../src/schema/document-error.js';
import { parseYaml } from '../../src/schema/parse-yaml.js';

const anything = z.unknown();

function complaint(text: string): string {
  try {
    parseYaml(text, anything, { file: 'x.yaml' });
  } catch (error) {
    if (error instanceof DocumentError) return error.message;
    throw error;
  }
  throw new Error('the text was accepted');
}

const many = (part: string, times: number) => part.repeat(times);

describe('hostile text', () => {
  it.each<[string, string, string]>([
    ['10 MB of nesting', many('[', 10 << 20), 'x.yaml:1:1: the file is longer than 256 KiB'],
    ['flow lists nested without end', many('[', 100_000), 'x.yaml:1:65: nested more than 64 levels deep'],
    ['flow maps nested without end', many('{a: ', 50_000), 'nested more than 64 levels deep'],
    ['brackets closed in quotes only', many('["]", ', 40_000), 'nested more than 64 levels deep'],
    ['brackets behind an apostrophe', `it's: ${many('[', 1000)}`, 'nested more than 64 levels deep'],
    ['lists on one line', many('- ', 100_000), 'x.yaml:1:129: nested more than 64 levels deep'],
    ['explicit keys on one line', many('? ', 100_000), 'nested more than 64 levels deep'],
    [
      'maps by indentation',
      Array.from({ length: 600 }, (_, i) => `${many(' ', i)}a:`).join('\n'),
      'nested more than 64 levels deep',
    ],
    ['a loop of references', 'a: &a [*a]', 'x.yaml:1:4: anchors (&name) are not allowed'],
    [
      'a bomb of references',
      'a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]',
      'references (*name) are not allowed',
    ],
    ['a reference as key', '? *a\n: 1', 'references (*name) are not allowed'],
    ['a tag', 'a: !!binary aGk=', 'x.yaml:1:4: tags (!name) are not allowed'],
    ['a directive', '%YAML 1.1\n---\na: 1', 'directives (%NAME) are not allowed'],
    ['two documents', 'a: 1\n---\nb: 2\n---\nc: 3', 'a second document begins here'],
    [
      'a document after another without a first mark',
      'a: 1\n---\nb: 2',
      'x.yaml:2:1: a second document begins here',
    ],
    [
      'lines that end as on very old machines',
      'a: 1\rb: 2',
      'x.yaml:1:5: a line that ends in a bare carriage return',
    ],
    ['a key given twice', 'a: 1\na: 2', "x.yaml:2:1: the key 'a' is given twice; keep one of them"],
    [
      'a key with signs in it that turn the writing about',
      'ok: 1\n"\u202ea": 1\n"\u202ea": 1',
      "x.yaml:3:1: the key '\\u202ea' is given twice",
    ],
    ['signs without end', many('""', 100_000), 'the file has more than 60 thousand words and signs'],
    ['a prototype key', '__proto__: {polluted: yes}', "x.yaml:1:1: the key '__proto__' is not allowed"],
    ['a constructor key', 'a: {constructor: 1}', "the key 'constructor' is not allowed"],
    ['a number as key', '1: a', 'x.yaml:1:1: this key is not a plain word'],
    ['a list as key', '[a]: b', 'this key is not a plain word'],
    ['an empty key', ': b', 'this key is not a plain word'],
    ['a tab as indentation', 'a:\n\tb: 1', 'x.yaml:2:1: '],
    ['a NUL byte', 'a: "\u0000"', 'x.yaml:1:5: a control character (code 0) in the text'],
    ['an escape sequence', 'a: \u001b[31m', 'a control character (code 27) in the text'],
    [
      'bytes that are not UTF-8',
      Buffer.from([0x61, 0x3a, 0x20, 0xff]).toString('utf8'),
      'a byte that is not UTF-8',
    ],
    ['an unclosed list', 'a: [1', 'x.yaml:1:6: '],
    ['an unclosed quote', 'a: "x', 'x.yaml:1:'],
    ['a stray bracket', 'a: ]', 'x.yaml:1:4: '],
  ])('%s is refused with one message', (_, text, message) => {
    const found = complaint(text);
    expect(found).toContain(message);
    expect(found).not.toMatch(/\n\s+at /);
    expect(found.length).toBeLessThan(1500);
  });

  it('accepts up to 60 levels of either kind', () => {
    const flow = many('[', 60) + many(']', 60);
    expect(JSON.stringify(parseYaml(flow, anything, { file: 'x' }))).toBe(flow);
    const block = `${Array.from({ length: 30 }, (_, i) => `${many(' ', i)}a:\n`).join('')}${many(' ', 31)}b: 1`;
    expect(parseYaml(block, anything, { file: 'x' })).toHaveProperty(many('a.', 30).concat('b'), 1);
  });

  it('reads plain text with brackets, quotes and wide lists as it stands', () => {
    const text = `a: "${many('[', 100)}"\nb:\n${many('  - x\n', 2000)}`;
    expect(parseYaml(text, anything, { file: 'x' })).toEqual({
      a: many('[', 100),
      b: Array.from({ length: 2000 }, () => 'x'),
    });
  });

  it('gives a value or a DocumentError for any text made of YAML signs', () => {
    const sign = fc.constantFrom(...'[]{}:,-?&*!|>%#@`"\' \n\tab1~.'.split(''), '---\n', '\n  ', ': ', '- ');
    fc.assert(
      fc.property(fc.array(sign, { maxLength: 60 }), (signs) => {
        try {
          parseYaml(signs.join(''), anything, { file: 'x' });
          return true;
        } catch (error) {
          return error instanceof DocumentError;
        }
      }),
      { seed: 4, numRuns: 5000 },
    );
  });
});
