import { kindOf, storedKind } from '../../bench/kinds.js';

/** What kind of bench a run was made on. @param name as it is stored: it may come from a later version of the program */
export function benchKindWords(name: string): string {
  const kind = storedKind(name);
  return kind === null ? `a kind that this version does not know, '${name}'` : kindOf(kind).words;
}
