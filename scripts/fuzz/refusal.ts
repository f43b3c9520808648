import { InputError } from '../../src/errors/ohmest-error.js';
import { DocumentError, type Fault } from '../../src/schema/document-error.js';
import { Unsound } from './subject.js';

/** Longest message that anybody would scroll through. */
const LONGEST_MESSAGE = 32 * 1024;
/** Slips of a program, which no message may show unless the input said them first. */
const SLIPS = ['undefined', '[object', '.ts:', '.js:', 'node_modules'];
/** What came in as `.nan` or `1e999` is quoted; anything else was reckoned. */
const RECKONED = /(?<!')\b(NaN|Infinity)\b(?!')/;
/** What moves the cursor or turns the writing about; a line feed is how a list of faults is set. */
const UNPRINTABLE = /(?!\n)[\p{Cc}\p{Cf}\p{Co}\p{Cs}\p{Zl}\p{Zp}]/u;

/** The input as text, to compare places and words with. */
export function asText(source: string | Uint8Array): string {
  const text =
    typeof source === 'string' ? source : new TextDecoder('utf-8', { ignoreBOM: true }).decode(source);
  return text.replace(/^\ufeff/, '');
}

/** Requires an InputError with a message fit to be shown. @throws Unsound */
export function requireInputError(error: unknown, source: string): asserts error is InputError {
  if (!(error instanceof InputError)) {
    const { name, message, stack } = error as Error;
    throw new Unsound(`no InputError but ${name}: ${message}\n${stack}`);
  }
  const { message } = error;
  if (message.length > LONGEST_MESSAGE) throw new Unsound(`a message of ${message.length} characters`);
  const bad = UNPRINTABLE.exec(message);
  if (bad)
    throw new Unsound(`U+${bad[0].codePointAt(0)!.toString(16)} in the message ${JSON.stringify(message)}`);
  const slip = SLIPS.find((word) => message.includes(word) && !source.includes(word));
  if (RECKONED.test(message) && !RECKONED.test(source))
    throw new Unsound(`a number gone wrong in the message ${JSON.stringify(message)}`);
  if (slip) throw new Unsound(`'${slip}' in the message ${JSON.stringify(message)}`);
}

/** Requires a DocumentError whose every fault lies inside the text. @throws Unsound */
export function requireDocumentError(error: unknown, source: string | Uint8Array): void {
  const text = asText(source);
  requireInputError(error, text);
  if (!(error instanceof DocumentError))
    throw new Unsound(`no DocumentError but ${error.name}: ${error.message}`);
  if (error.faults.length === 0) throw new Unsound('a refusal without a fault');
  const lines = text.split('\n');
  for (const fault of error.faults) requirePlace(fault, lines);
}

function requirePlace({ line, column, what }: Fault, lines: readonly string[]): void {
  if (what.trim() === '') throw new Unsound(`an empty fault at ${line}:${column}`);
  const there = lines[line - 1];
  const inside = there !== undefined && column >= 1 && column <= there.length + 1;
  if (!Number.isInteger(line) || !Number.isInteger(column) || !inside)
    throw new Unsound(`a fault at ${line}:${column}, outside of the text: ${what}`);
}
