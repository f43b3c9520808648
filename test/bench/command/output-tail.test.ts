import { describe, expect, it } from 'vitest';
import { OutputTail } from '../../../src/bench/command/output-tail.js';

function tailOf(...chunks: readonly string[]): string {
  const tail = new OutputTail();
  for (const chunk of chunks) tail.push(Buffer.from(chunk));
  return tail.lastLines();
}

describe('OutputTail', () => {
  it('is empty when nothing was printed', () => {
    expect(tailOf()).toBe('');
    expect(tailOf('\n \n')).toBe('');
  });

  it('tells the last six lines, also of chunks that part a line', () => {
    expect(tailOf('1\n2\nth', 'ree\r\n4\n\n5\n6\n7\n')).toBe('2 / three / 4 / 5 / 6 / 7');
  });

  it('shows control characters', () => {
    expect(tailOf('\u001b[31mred\u001b[0m\u0007 alarm')).toBe('\\u001b[31mred\\u001b[0m\\u0007 alarm');
  });

  it('shortens long lines and forgets what lies far back', () => {
    expect(tailOf('x'.repeat(300))).toBe(`${'x'.repeat(199)}…`);
    expect(tailOf('early\n', 'y'.repeat(20_000), '\nlate')).toBe(`${'y'.repeat(199)}… / late`);
  });
});
