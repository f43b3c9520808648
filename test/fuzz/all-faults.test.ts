import { describe, expect, it } from 'vitest';
import { readRecord } from '../../src/calibration/record-file.js';
import { DocumentError } from '../../src/schema/document-error.js';

const KIB = 1024;

function refusal(text: string): DocumentError {
  try {
    readRecord(text, 'r.yaml', 'r');
  } catch (error) {
    if (error instanceof DocumentError) return error;
    throw error;
  }
  throw new Error('it was read');
}

/** Lines of one kind up to so many bytes. */
const filled = (line: (i: number) => string, bytes: number): string => {
  const lines: string[] = [];
  for (let [i, length] = [0, 0]; length + line(i).length <= bytes; i++) {
    lines.push(line(i));
    length += line(i).length;
  }
  return lines.join('');
};

describe('a calibration record of nothing but faults', () => {
  // To find each of these faults took 3 s.
  it.each<[string, string, (i: number) => string]>([
    ['points without units', 'kind: response\nchannel: 1\npoints:\n', () => ' - {frequency: 1, level: 2}\n'],
    ['points that are no maps', 'kind: response\nchannel: 1\npoints:\n', (i) => ` - ${i}\n`],
    ['keys that no record has', 'kind: load\n', (i) => `k${i}: 1\n`],
    ['the same key', 'kind: load\n', () => 'k: 1\n'],
  ])('is refused at the word that is one too many when 250 KiB of %s are filled', (_, head, line) => {
    const text = head + filled(line, 250 * KIB - head.length);
    const { faults } = refusal(text);
    expect(faults.map(({ what }) => what)).toEqual(['the file has more than 60 thousand words and signs']);
    // Not at its end: what stands behind that word is not counted any more.
    expect(faults[0]!.line).toBeLessThan(text.split('\n').length - 10);
    expect(faults[0]!.line).toBeGreaterThan(1000);
  });

  it('has each of them told with its line, as many as fit the limit, and the first fifty written out', () => {
    const { faults, message } = refusal(`kind: load\n${filled((i) => `k${i}: 1\n`, 100 * KIB)}`);
    const strange = faults.filter(({ path }) => /^k\d+$/.test(path));
    expect(strange.length).toBeGreaterThan(9000);
    expect(strange.every(({ line, path }) => line === Number(path.slice(1)) + 2)).toBe(true);
    expect(message.split('\n').length).toBeLessThan(60);
    expect(message).toMatch(/\d{4} more/);
  });
});
