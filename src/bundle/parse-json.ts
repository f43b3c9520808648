import type { z } from 'zod';
import { BundleInvalid } from './bundle-errors.js';
import { MOST_BRACKETS, MOST_COMMAS, MOST_NESTING } from './limits.js';

/**
 * Reads a JSON document of a bundle and checks it against its schema.
 *
 * @param file the bundle, for messages
 * @param document name of the member
 * @throws BundleInvalid listing what is wrong
 */
export function parseJson<T>(text: string, schema: z.ZodType<T>, file: string, document: string): T {
  // Before it is parsed: what checks it afterwards goes down one call a level, and all of it lies in memory by then.
  const excess = excessOf(text);
  if (excess !== null) throw new BundleInvalid(file, document, [excess]);
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

/** What a JSON text has too much of, outside of its strings; null when nothing. Looks at every character once. */
function excessOf(text: string): string | null {
  let depth = 0;
  let brackets = 0;
  let commas = 0;
  let inString = false;
  for (let i = 0; i < text.length; i += 1) {
    const sign = text[i];
    if (inString) {
      if (sign === '\\') i += 1;
      else if (sign === '"') inString = false;
    } else if (sign === '"') inString = true;
    else if (sign === ',') commas += 1;
    else if (sign === ']' || sign === '}') depth -= 1;
    else if (sign === '[' || sign === '{') {
      depth += 1;
      brackets += 1;
      if (depth > MOST_NESTING) return `brackets nest more than ${MOST_NESTING} deep`;
    }
  }
  if (brackets > MOST_BRACKETS) return `more than ${MOST_BRACKETS} lists and objects`;
  return commas > MOST_COMMAS ? `more than ${MOST_COMMAS} values` : null;
}
