import { MOST_BRACKETS, MOST_NESTING, MOST_STRING } from './limits.js';

/**
 * Takes the items of long lists out of the text of a JSON object, one at a time, so that they need not all lie in memory
 * as text, as what was parsed and as what was checked at once. Looks at every character once.
 *
 * @param text what may be JSON: what stands between the brackets of a list is cut at its commas, and not looked into
 * @param names keys of the outermost object whose lists are cut out, each where it stands for the first time
 * @param take is given the key and the text of each item, in order
 * @returns the rest, with empty lists; it is JSON if the whole was, as long as every item is
 */
export function cutLists(
  text: string,
  names: ReadonlySet<string>,
  take: (name: string, item: string) => void,
): string {
  const due = new Set(names);
  const kept: string[] = [];
  let [keptFrom, depth, string, key] = [0, 0, 0, ''];
  /** The list that is being cut, and where its item began. */
  let list: string | null = null;
  let itemFrom = 0;
  for (let i = 0; i < text.length; i += 1) {
    const sign = text[i]!;
    if (sign === '"') {
      string = i;
      i = endOfString(text, i);
      if (depth === 1) key = text.slice(string + 1, i);
    } else if (sign === '[' || sign === '{') {
      depth += 1;
      if (depth === 2 && sign === '[' && due.delete(key)) {
        kept.push(text.slice(keptFrom, i + 1));
        [list, itemFrom] = [key, i + 1];
      }
    } else if (sign === ']' || sign === '}') {
      depth -= 1;
      if (list !== null && depth === 1) {
        const last = text.slice(itemFrom, i);
        // Nothing but space between the brackets is an empty list, behind a comma it is a fault.
        if (last.trim() !== '' || text[itemFrom - 1] === ',') take(list, last);
        [list, keptFrom] = [null, i];
      }
    } else if (sign === ',' && list !== null && depth === 2) {
      take(list, text.slice(itemFrom, i));
      itemFrom = i + 1;
    }
  }
  return kept.join('') + text.slice(keptFrom);
}

/** The quotation mark that ends a string, or the end of the text. */
export function endOfString(text: string, from: number): number {
  for (let i = from + 1; i < text.length; i += 1) {
    if (text[i] === '\\') i += 1;
    else if (text[i] === '"') return i;
  }
  return text.length;
}

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
