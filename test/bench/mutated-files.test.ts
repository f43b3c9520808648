import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { readRecord } from '../../src/calibration/record-file.js';
import { DocumentError } from '../../src/schema/document-error.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { bench } from '../sequence/bench-fixture.js';

const shipped = (folder: string) =>
  readdirSync(new URL(`../../${folder}/`, import.meta.url), { recursive: true, encoding: 'utf8' })
    .filter((name) => !name.startsWith('twins'))
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => fileURLToPath(new URL(`../../${folder}/${name}`, import.meta.url)));

/** A few edits of a text: where (as a share of it), how much goes, what comes. */
const edits = fc.array(
  fc.tuple(
    fc.double({ min: 0, max: 1, noNaN: true }),
    fc.nat(12),
    fc.constantFrom(
      '',
      ' ',
      '\n',
      ':',
      '-',
      '{',
      '[',
      '"',
      '0',
      '1e9',
      '-1',
      'NaN',
      '%',
      'ohm',
      'null',
      '~',
      '&a',
      '*a',
      '!!x',
      '\t',
      '\u0000',
      'Ω',
    ),
  ),
  { minLength: 1, maxLength: 4 },
);

function edited(text: string, changes: readonly (readonly [number, number, string])[]): string {
  return changes.reduce((now, [share, length, put]) => {
    const at = Math.floor(share * now.length);
    return now.slice(0, at) + put + now.slice(at + length);
  }, text);
}

/** Every file of a folder, edited at random, is read or refused with a DocumentError that is short and plain. */
function holds(folder: string, read: (text: string, path: string) => unknown): void {
  const texts = shipped(folder).map((path) => ({ path, text: readFileSync(path, 'utf8') }));
  fc.assert(
    fc.property(fc.constantFrom(...texts), edits, ({ path, text }, changes) => {
      try {
        read(edited(text, changes), path);
      } catch (error) {
        expect(error).toBeInstanceOf(DocumentError);
        expect((error as Error).message).not.toMatch(/undefined|\[object|\bat .*\.ts:/);
      }
    }),
    { seed: 6, numRuns: 600 },
  );
}

describe('a shipped file with random edits is read or refused in plain words', () => {
  it('as a sequence', () => holds('sequences', (text, path) => makePlan(readSequence(text, path), bench(2))));
  it('as a bench', () => holds('benches', readBench));
  it('as a calibration record', () => holds('calibration', (text, path) => readRecord(text, path, 'r')));
});
