import { nearest } from '../../schema/nearest.js';
import { quoted } from '../../units/parse.js';
import { plainNumbers } from './claim-numbers.js';
import { JOINED, PHRASES } from './claim-phrases.js';
import type { ClaimListener, Statement, TextFault } from './claim-statement.js';

/** A claim is one line; anything longer is something else. */
const LONGEST = 500;

export const EXAMPLE = "'120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel'";

/** What a text states, a list of terms for each group between commas, and what of it cannot be read. */
export function listen(text: string): { readonly groups: Statement[][]; readonly faults: TextFault[] } {
  if (text.length > LONGEST) {
    const what = `the text is longer than ${LONGEST} characters`;
    return { groups: [], faults: [{ at: LONGEST, what, mend: 'a claim is one line' }] };
  }
  const plain = plainNumbers(text);
  const faults = plain.faults;
  const ends = separators(plain.text);
  const groups: Statement[][] = [[]];
  for (let at = 0; at < text.length; ) {
    const next = takePhrase({ text, plain: plain.text, at, statements: groups.at(-1)!, faults });
    if (ends.some((end) => end >= at && end < next)) groups.push([]);
    at = next;
  }
  return { groups: groups.filter((group) => group.length > 0), faults };
}

/** Where groups end: at commas and semicolons outside of brackets, and where a word joins two powers. */
function separators(text: string): number[] {
  let depth = 0;
  const marks = [...text.matchAll(/[(),;]/g)].flatMap(({ 0: mark, index }) => {
    depth += mark === '(' ? 1 : mark === ')' ? -1 : 0;
    return depth <= 0 && mark !== ')' ? [index] : [];
  });
  return [...marks, ...[...text.matchAll(JOINED)].map(({ index }) => index)];
}

interface ClausePlace {
  /** As written, and with plain numbers. */
  readonly text: string;
  readonly plain: string;
  readonly at: number;
  readonly statements: Statement[];
  readonly faults: TextFault[];
}

/** A word, with the unit of which it may have been meant as the number. */
const UNKNOWN = /([^\s,;]+)(?:\s+(?:W|watts?|ohms?|k?Hz|V|%)(?![a-zA-Z]))?/y;

/** Takes what stands at a place, and gives the place behind it. */
function takePhrase({ text, plain, at, statements, faults }: ClausePlace): number {
  for (const { pattern, take } of PHRASES) {
    pattern.lastIndex = at;
    const groups = pattern.exec(plain);
    if (!groups || groups[0] === '') continue;
    const end = at + groups[0].length;
    const to: ClaimListener = {
      say: (term, value) => statements.push({ term, value, at, said: text.slice(at, end) } as Statement),
      fault: (what, mend) => faults.push({ at, what, mend }),
      last: statements.at(-1)?.term ?? null,
    };
    take(
      to,
      groups.slice(1).map((group) => group ?? ''),
    );
    return end;
  }
  UNKNOWN.lastIndex = at;
  const [all, unknown = ''] = UNKNOWN.exec(text)!;
  const near = nearest(unknown, KNOWN_WORDS);
  const mend = near ? `did you mean '${near}'?` : `a claim looks like ${EXAMPLE}`;
  faults.push({ at, what: `unknown word ${quoted(unknown)}`, mend });
  return at + all.length;
}

/** Words that a misspelt one may have been meant as. */
const KNOWN_WORDS: readonly string[] = [
  ...['watts', 'ohm', 'channel', 'channels', 'driven', 'continuous', 'average', 'burst', 'dynamic', 'music'],
  ...[
    'peak',
    'maximum',
    'bridged',
    'mains',
    'supply',
    'battery',
    'standard',
    'per',
    'total',
    'noise',
    'mono',
  ],
  ...['THD', 'distortion', 'harmonic', 'both', 'all', 'rated', 'into', 'power', 'output', 'sine'],
];
