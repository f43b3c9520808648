import { endOfString } from './cut-lists.js';
import { MOST_BRACKETS, MOST_NESTING, MOST_STRING } from './limits.js';

/**
 * What a JSON text has too much of, outside of its strings; null when nothing. Looks at every character once.
 *
 * @param mostCommas commas that it may hold
 */
export function excessOf(text: string, mostCommas: number): string | null {
  let depth = 0;
  let brackets = 0;
  let commas = 0;
  for (let i = 0; i < text.length; i += 1) {
    const sign = text[i];
    if (sign === '"') {
      const end = endOfString(text, i);
      if (end - i > MOST_STRING) return `a text of more than ${MOST_STRING} characters`;
      i = end;
    } else if (sign === ',') commas += 1;
    else if (sign === ']' || sign === '}') depth -= 1;
    else if (sign === '[' || sign === '{') {
      depth += 1;
      brackets += 1;
      if (depth > MOST_NESTING) return `brackets nest more than ${MOST_NESTING} deep`;
    }
  }
  if (brackets > MOST_BRACKETS) return `more than ${MOST_BRACKETS} lists and objects`;
  return commas > mostCommas ? `more than ${mostCommas} values` : null;
}
