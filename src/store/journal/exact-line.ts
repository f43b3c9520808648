import { createHash } from 'node:crypto';
import { canonicalJson, figureText } from '../../bundle/canonical-json.js';
import { fromJson } from '../../record/exact-json.js';

const SUM_LENGTH = 16;

const sumOf = (text: string): string => createHash('sha256').update(text).digest('hex').slice(0, SUM_LENGTH);

/** Canonical JSON loses the sign of zero, which a rebuilt run is to have. */
const exactText = (value: number): string => (Object.is(value, -0) ? '{"number":"-0"}' : figureText(value));

/** One line of a journal: a sum over the text, the text, a line end. The same value gives the same line. */
export function toLine(value: unknown): string {
  const text = canonicalJson(value, exactText);
  return `${sumOf(text)} ${text}\n`;
}

/** The value of a line without its end; undefined for a line that is not whole. */
export function fromLine(line: string): unknown {
  const text = line.slice(SUM_LENGTH + 1);
  return line === `${sumOf(text)} ${text}` ? fromJson(text) : undefined;
}
