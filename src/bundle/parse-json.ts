import type { z } from 'zod';
import { fromJson } from '../record/exact-json.js';
import { BundleInvalid } from './bundle-errors.js';
import { excessOf } from './cut-lists.js';
import { MOST_PIECE_COMMAS } from './limits.js';

/**
 * Reads a JSON document of a bundle and checks it against its schema.
 *
 * @param file the bundle, for messages
 * @param document name of the member
 * @throws BundleInvalid listing what is wrong
 */
export function parseJson<T>(text: string, schema: z.ZodType<T>, file: string, document: string): T {
  const piece = parsePiece(text, schema);
  if (piece.faults === null) return piece.value;
  throw new BundleInvalid(file, document, piece.faults);
}

/** What became of a text: a value without faults, or faults in words. */
export type Piece<T> = { readonly value: T; readonly faults: null } | { readonly faults: string[] };

/**
 * Reads JSON and checks it against its schema.
 *
 * @param path where the text stands in its document
 */
export function parsePiece<T>(text: string, schema: z.ZodType<T>, path: readonly string[] = []): Piece<T> {
  // Before it is parsed: what checks it afterwards goes down one call a level, and notes every value that is wrong.
  const excess = excessOf(text, MOST_PIECE_COMMAS);
  if (excess !== null) return { faults: [placed(path, excess)] };
  const value = jsonOf(text);
  if (value instanceof SyntaxError)
    return { faults: [placed(path, `this is not JSON (${quoted(value.message)})`)] };
  const checked = schema.safeParse(value);
  if (checked.success) return { value: checked.data, faults: null };
  return {
    faults: checked.error.issues.map((issue) =>
      placed([...path, ...issue.path.map(String)], worded(issue.message)),
    ),
  };
}

function jsonOf(text: string): unknown {
  try {
    return fromJson(text);
  } catch (error) {
    return error as SyntaxError;
  }
}

const PLACE_LENGTH = 120;

function placed(path: readonly string[], what: string): string {
  return `${path.length === 0 ? 'the whole' : quoted(path.join('.'))}: ${what}`;
}

/** What the checks call undefined is not there, and what became infinite was too large for any number. */
const worded = (message: string): string =>
  quoted(message)
    .replace('received undefined', 'found nothing')
    .replace(/received -?Infinity/, 'found one that is too large');

/** Text out of a stranger's file, fit for a message. */
const quoted = (text: string): string =>
  text.replaceAll(/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/gu, '?').slice(0, PLACE_LENGTH);
