import { expect, test } from 'vitest';
import { frequencyWords } from '../../src/units/nominal-frequency.js';

// Nominal values by ISO 266, from memory; the exact ones are powers of 10^(1/10), 10^(1/20), 10^(1/40).
test.each([
  [10 ** 1.5, '31.5 Hz'],
  [10 ** 1.6, '40 Hz'],
  [10 ** 2.2, '160 Hz'],
  [10 ** 4.1, '12.5 kHz'],
  [10 ** (1 + 1 / 40), '10.6 Hz'],
  [10 ** 4.3, '20 kHz'],
  [1000, '1 kHz'],
  [20, '20 Hz'],
])('%d Hz is called %s', (frequency_Hz, words) => {
  expect(frequencyWords(frequency_Hz)).toBe(words);
});

test('what is no preferred frequency keeps its own value', () => {
  expect(frequencyWords(1020)).toBe('1.02 kHz');
  expect(frequencyWords(997)).toBe('997 Hz');
  expect(frequencyWords(0)).toBe('0 Hz');
});
