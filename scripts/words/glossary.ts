import { QUANTITIES } from '../../src/record/quantities.js';

/** A term of the glossary, with other names that nobody should use for it. */
export interface Term {
  readonly term: string;
  readonly others: readonly string[];
}

/** The rows of the tables of docs/glossary.md: term, meaning, names not to use. */
export function termsOf(page: string): Term[] {
  return [...page.matchAll(/^\| ([^|]+?) \| [^|]+ \|([^|]*)\|$/gm)]
    .filter(([, term]) => term !== 'term')
    .map(([, term, others]) => ({
      term: term!,
      others: others!.split(',').flatMap((other) => (other.trim() === '' ? [] : [other.trim()])),
    }));
}

/** Quantities that the glossary does not name as they are declared. */
export const missingQuantities = (terms: readonly Term[]): string[] =>
  Object.values(QUANTITIES)
    .map(({ name }) => name)
    .filter((name) => !terms.some(({ term }) => term === name));

/** Other names for terms in a text, as they stand there. */
export function otherNames(text: string, terms: readonly Term[]): { name: string; term: string }[] {
  const plain = ` ${text.replace(/[^\p{L}\d/+'%]+/gu, ' ').toLowerCase()} `;
  return terms.flatMap(({ term, others }) =>
    others.filter((other) => plain.includes(` ${other.toLowerCase()} `)).map((name) => ({ name, term })),
  );
}
