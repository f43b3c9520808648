import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BadArguments, parseArguments } from '../../scripts/fuzz/arguments.js';
import { campaign } from '../../scripts/fuzz/campaign.js';
import { requireDocumentError } from '../../scripts/fuzz/refusal.js';
import { type Subject, Unsound } from '../../scripts/fuzz/subject.js';
import { DocumentError } from '../../src/schema/document-error.js';

const fault = { line: 1, column: 1, path: '', what: 'wrong', mend: 'do it right' };

const subject = (read: (input: number) => unknown): Subject => ({
  name: 'made up',
  cases: fc.nat(100_000),
  read: (input) => read(input as number),
  checkValue: () => {},
  checkRefusal: (error) => requireDocumentError(error, 'one line'),
});

const over = (limit: number, error: () => unknown) =>
  subject((input) => {
    if (input >= limit) throw error();
    return input;
  });

describe('a fuzzing campaign', () => {
  it('counts what was read and what was refused', async () => {
    const tally = await campaign(
      over(50_000, () => new DocumentError('x', [fault])),
      { cases: 500, seed: 3, timed: false },
    );
    expect(tally.failure).toBeNull();
    expect(tally.read + tally.refused).toBe(500);
    expect(Math.min(tally.read, tally.refused)).toBeGreaterThan(100);
  });

  it.each<[string, () => unknown, string]>([
    ['another kind of error', () => new TypeError('x is not a function'), 'TypeError'],
    ['nothing at all', () => undefined, 'something empty was thrown'],
    ['a refusal without a fault', () => new DocumentError('x', []), 'without a fault'],
    [
      'a fault after the end',
      () => new DocumentError('x', [{ ...fault, line: 2 }]),
      '2:1, outside of the text',
    ],
    [
      'a fault beyond its line',
      () => new DocumentError('x', [{ ...fault, column: 10 }]),
      '1:10, outside of the text',
    ],
    [
      'a slip in the message',
      () => new DocumentError('x', [{ ...fault, what: 'undefined ohm' }]),
      "'undefined'",
    ],
    [
      'a number gone wrong',
      () => new DocumentError('x', [{ ...fault, what: 'NaN ohm' }]),
      'a number gone wrong',
    ],
    [
      'an escape sequence',
      () => Object.assign(new DocumentError('x', [fault]), { message: 'x:1:1: \u001b[2J' }),
      'U+1b',
    ],
  ])('finds %s, down to the least case and how to repeat it', async (_, error, says) => {
    const tally = await campaign(over(1234, error), { cases: 500, seed: 3, timed: false });
    expect(tally.failure).toContain(says);
    expect(tally.failure).toMatch(/^--seed 3 --path \d+/);
    expect(tally.failure).toMatch(/case: 1234$/);
  });

  it('finds a reader that is slow every time', async () => {
    // A clock on which 1.05 s pass between any two looks.
    let now = 0;
    const clock = () => {
      now += 1050;
      return now;
    };
    const tally = await campaign(
      { ...subject(() => {}), cases: fc.constant(1) },
      { cases: 1, seed: 3, timed: true, clock },
    );
    expect(tally.failure).toMatch(/it took 1\.05 s/);
  });

  it('takes the fault of an honest text for what it is', () => {
    expect(() =>
      requireDocumentError(new DocumentError('x', [{ ...fault, column: 9 }]), 'one line'),
    ).not.toThrow();
    expect(() => requireDocumentError(new Unsound('no'), 'one line')).toThrow(Unsound);
  });
});

describe('the arguments of fuzz', () => {
  const known = ['wav', 'claim'];

  it('are all readers, 100 000 cases and seed 1 when nothing is said', () => {
    expect(parseArguments([], known)).toEqual({ cases: 100_000, seed: 1, only: known, path: null });
  });

  it('choose readers, cases, seed and one case', () => {
    const given = ['--only', 'wav', '--cases', '5', '--seed', '9', '--path', '3:1'];
    expect(parseArguments(given, known)).toEqual({ cases: 5, seed: 9, only: ['wav'], path: '3:1' });
  });

  it.each([
    [['--cases', '0']],
    [['--cases', '1.5']],
    [['--cases']],
    [['--seed', 'x']],
    [['--only', 'flac']],
    [['--path', '1']],
    [['--fast', '1']],
  ])('are refused: %j', (given) => {
    expect(() => parseArguments(given, known)).toThrow(BadArguments);
  });
});
