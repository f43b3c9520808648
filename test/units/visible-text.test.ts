import { expect, test } from 'vitest';
import { oneLine, visibleName, visibleText } from '../../src/units/visible-text.js';
import { HOSTILE } from '../document/hostile.js';

test('terminal escapes and marks of direction are shown, not obeyed', () => {
  expect(visibleText(HOSTILE.terminal)).toBe('\\u001b[2J\\u001b]0;title\\u0007\\u009b31mred');
  expect(visibleText(HOSTILE.rightToLeft)).toBe('\\u202eunit \u05d0\u05d1\u05d2 \\u2067mixed');
});

test('what has no width is shown, also broken surrogates and characters beyond the first plane', () => {
  expect(visibleText('a\u200bb\ufeff\u2060\u00ad\u3164')).toBe('a\\u200bb\\ufeff\\u2060\\u00ad\\u3164');
  expect(visibleText('\ud800x\u{e0041}')).toBe('\\ud800x\\udb40\\udc41');
});

test('joiners stay between letters that need them and in pictures, and nowhere else', () => {
  const written = [
    '\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645',
    '\u0915\u094d\u200d\u0937',
    '👩\u200d🔧',
    '1\ufe0f\u20e3',
  ];
  for (const text of written) expect(visibleText(text)).toBe(text);
  expect(visibleText('red\u200dbox a\u200c')).toBe('red\\u200dbox a\\u200c');
});

test('line ends, tabs and ordinary writing stay as they are', () => {
  expect(visibleText('a\n\tβ 漢 🎛\r\n')).toBe('a\n\tβ 漢 🎛\r\n');
  expect(visibleText('a\rb')).toBe('a\\u000db');
});

test('a name shows its line ends, after which it could pass for a line of ours', () => {
  expect(visibleName('runs\nohmest: all is well\t.db')).toBe('runs\\u000aohmest: all is well\\u0009.db');
});

test('JSON with its hidden characters shown gives the same value', () => {
  const value = { [HOSTILE.rightToLeft]: `${HOSTILE.terminal}\u007f\u200b\ud800\u{e0041}\n"\\` };
  const shown = visibleText(JSON.stringify(value));
  expect(shown).toMatch(/^[^\p{Cc}\p{Cs}\p{Cf}]*$/u);
  expect(JSON.parse(shown)).toEqual(value);
});

test('a line is cut at whole characters, with an ellipsis inside the limit', () => {
  expect(oneLine('🎛🎛🎛🎛', 3)).toBe('🎛🎛…');
  expect([...oneLine(HOSTILE.long, 90)]).toHaveLength(90);
  expect(oneLine(' a \n b ', 90)).toBe('a b');
});
