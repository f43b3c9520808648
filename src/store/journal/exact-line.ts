import { createHash } from 'node:crypto';
import { fromJson } from '../../record/exact-json.js';

const SUM_LENGTH = 16;

const sumOf = (text: string): string => createHash('sha256').update(text).digest('hex').slice(0, SUM_LENGTH);

/** One line of a journal: a sum over the text, the text, a line end. The same value gives the same line. */
export function toLine(value: unknown): string {
  const text = exactText(value);
  return `${sumOf(text)} ${text}\n`;
}

/** The value of a line without its end; undefined for a line that is not whole. */
export function fromLine(line: string): unknown {
  const text = line.slice(SUM_LENGTH + 1);
  return line === `${sumOf(text)} ${text}` ? fromJson(text) : undefined;
}

/** JSON with sorted keys that keeps NaN, the infinities and the sign of zero, which other writers of JSON turn into something else. */
function exactText(value: unknown): string {
  if (typeof value === 'number') {
    if (Object.is(value, -0)) return '{"number":"-0"}';
    return Number.isFinite(value) ? String(value) : `{"number":"${value}"}`;
  }
  if (Array.isArray(value)) return `[${value.map(exactText).join(',')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value) ?? 'null';
  const fields = Object.entries(value).filter(([, part]) => part !== undefined);
  fields.sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${fields.map(([key, part]) => `${JSON.stringify(key)}:${exactText(part)}`).join(',')}}`;
}
