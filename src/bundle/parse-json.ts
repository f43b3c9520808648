import type { z } from 'zod';
import { BundleInvalid } from './bundle-errors.js';
import { MOST_NESTING } from './limits.js';

/**
 * Reads a JSON document of a bundle and checks it against its schema.
 *
 * @param file the bundle, for messages
 * @param document name of the member
 * @throws BundleInvalid listing what is wrong
 */
export function parseJson<T>(text: string, schema: z.ZodType<T>, file: string, document: string): T {
  // Before it is parsed: what checks it afterwards goes down one call a level.
  if (nestsDeeper(text, MOST_NESTING))
    throw new BundleInvalid(file, document, [`brackets nest more than ${MOST_NESTING} deep`]);
  const checked = schema.safeParse(parsed(text, file, document));
  if (checked.success) return checked.data;
  throw new BundleInvalid(file, document, checked.error.issues.map(faultOf));
}

function parsed(text: string, file: string, document: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new BundleInvalid(file, document, [`this is no JSON (${quoted((error as Error).message)})`]);
  }
}

const PLACE_LENGTH = 120;

function faultOf({ path, message }: z.core.$ZodIssue): string {
  const place = path.map(String).join('.');
  return `${place === '' ? 'the whole' : quoted(place)}: ${quoted(message)}`;
}

/** Text out of a stranger's file, fit for a message. */
const quoted = (text: string): string =>
  text.replaceAll(/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/gu, '?').slice(0, PLACE_LENGTH);

/** Whether brackets outside of strings nest deeper than `most`. Looks at every character once. */
export function nestsDeeper(text: string, most: number): boolean {
  let depth = 0;
  let inString = false;
  for (let i = 0; i < text.length; i += 1) {
    const sign = text[i];
    if (inString) {
      if (sign === '\\') i += 1;
      else if (sign === '"') inString = false;
    } else if (sign === '"') inString = true;
    else if (sign === '[' || sign === '{') {
      depth += 1;
      if (depth > most) return true;
    } else if (sign === ']' || sign === '}') depth -= 1;
  }
  return false;
}
