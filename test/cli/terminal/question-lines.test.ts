import { expect, test } from 'vitest';
import { questionLines } from '../../../src/cli/terminal/ask.js';

const QUESTION =
  'Do the loads stand clear of anything that can burn, with air around them for 200.0 W of heat, and is a switch near?';

test('a question keeps its words and its figures whole, and leaves room for the answer', () => {
  for (const columns of [40, 60, 80, 92]) {
    const lines = questionLines(QUESTION, columns).split('\n');
    expect(lines.join(' ')).toBe(QUESTION);
    expect(Math.max(...lines.map((line) => `? ${line} (y/N) yes`.length))).toBeLessThanOrEqual(columns);
    expect(lines.filter((line) => line.includes('200.0 W'))).toHaveLength(1);
  }
});

test('a terminal that tells no sensible width still shows the question', () => {
  expect(questionLines(QUESTION, 1).split('\n').join(' ')).toBe(QUESTION);
});
