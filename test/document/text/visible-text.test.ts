import { expect, test } from 'vitest';
import { oneLine, visibleText } from '../../../src/document/text/visible-text.js';
import { HOSTILE } from '../hostile.js';

test('terminal escapes and marks of direction are shown, not obeyed', () => {
  expect(visibleText(HOSTILE.terminal)).toBe('\ufffd[2J\ufffd]0;title\ufffd\ufffd31mred');
  expect(visibleText(HOSTILE.rightToLeft)).toBe('\ufffdunit \u05d0\u05d1\u05d2 \ufffdmixed');
});

test('line ends, tabs and ordinary writing stay as they are', () => {
  expect(visibleText('a\n\tβ 漢 🎛')).toBe('a\n\tβ 漢 🎛');
});

test('a line is cut at whole characters, with an ellipsis inside the limit', () => {
  expect(oneLine('🎛🎛🎛🎛', 3)).toBe('🎛🎛…');
  expect([...oneLine(HOSTILE.long, 90)]).toHaveLength(90);
  expect(oneLine(' a \n b ', 90)).toBe('a b');
});
