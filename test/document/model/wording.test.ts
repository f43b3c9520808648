import { expect, test } from 'vitest';
import { typeset } from '../../../src/document/html/typeset.js';
import { uncertaintyWords } from '../../../src/document/model/finding-words.js';
import { flagPlaces } from '../../../src/document/model/flag-section.js';
import { channelWords, outcomeWords, timeWords } from '../../../src/document/model/wording.js';
import { wrapText } from '../../../src/document/text/wrap-text.js';
import { budgetOf, limits, weighed } from '../../../src/measure/budget.js';
import type { Finding } from '../../../src/record/finding.js';
import { findingsOf } from '../../../src/record/findings-of.js';
import { invented } from '../fixture.js';

/** A maximum power with so much uncertainty and no budget. */
const known = (uncertainty: number | null): Finding => ({
  ...findingsOf(invented())[0]!,
  uncertainty,
  budgets: [],
});

test('channels are counted up in words', () => {
  expect([[1], [1, 2], [1, 2, 3, 4, 5, 6, 7], [1, 2, 5]].map(channelWords)).toEqual([
    'channel 1',
    'channels 1 and 2',
    'channels 1 to 7',
    'channels 1, 2 and 5',
  ]);
});

test('what is known of the uncertainty is said exactly', () => {
  const [some, none] = [known(1), known(null)];
  expect(uncertaintyWords([some, some])).toBe('U with k = 2');
  expect(uncertaintyWords([none])).toBe('no uncertainty stated');
  expect(uncertaintyWords([some, none])).toContain('no uncertainty stated elsewhere');
});

test('a coverage factor is named as it is, and one that is 2 to the last figure printed is 2', () => {
  const withFactor = (freedom: number | null) => ({
    ...known(1),
    budgets: [
      budgetOf({
        quantity: 'power' as const,
        value: 50,
        unit: 'W' as const,
        components: weighed([{ ...limits('part', 1), freedom }], 1),
      }),
    ],
  });
  expect(uncertaintyWords([withFactor(27_000)])).toBe('U with k = 2');
  // Student's t of 10 degrees of freedom for 95.45 % is 2.2837 (scipy.stats.t).
  expect(uncertaintyWords([withFactor(10)])).toBe('U with k = 2.28');
  expect(uncertaintyWords([withFactor(10), withFactor(null), known(1)])).toBe('U with k = 2 to 2.28');
});

test('an outcome carries its reason, except the one that needs none', () => {
  expect(outcomeWords({ outcome: 'tripped', reason: 'DC of 3 V' })).toBe(
    'Ended by a safety limit: DC of 3 V',
  );
  expect(outcomeWords({ outcome: 'completed', reason: 'every step was done' })).toBe('Completed');
});

test('times lose their fraction, other texts stay', () => {
  expect(timeWords('2031-03-04T10:22:31.123Z')).toBe('2031-03-04 10:22:31 UTC');
  expect(timeWords('soon')).toBe('soon');
});

test('quantities are set without a break, with the signs of print', () => {
  expect(typeset('87.7 W into 8 ohm at 1 kHz, -3.0 dB, 2.2 uH ± 0.1 %')).toBe(
    '87.7\u00a0W into 8\u00a0Ω at 1\u00a0kHz, −3.0\u00a0dB, 2.2\u00a0µH\u00a0±\u00a00.1\u00a0%',
  );
  expect(typeset('climb-1k')).toBe('climb-1k');
});

test('text is broken between words, never between a number and its unit', () => {
  expect(wrapText('one two three', 7, ' ')).toBe('one two\n three');
  expect(wrapText('unbreakable', 4)).toBe('unbreakable');
  expect(wrapText('gives 8 ohm', 8)).toBe('gives\n8 ohm');
});

test('each flag is told once, with its count and its place in each step', () => {
  const floor = flagPlaces(invented()).find(({ flag }) => flag === 'floor-limited');
  expect(floor).toMatchObject({ readings: 4, where: 'climb-1k: 49.9 mW to 227 mW, channels 1 and 2' });
});
