import { quoted } from '../../units/parse.js';
import { type ClaimTerms, NO_TERMS } from './claim.js';
import { termFaults } from './claim-faults.js';
import type { Statement, TextFault } from './claim-statement.js';

/** Terms in plain words, for messages. */
const WORDS: Readonly<Record<keyof ClaimTerms, string>> = {
  power_W: 'powers',
  from_W: 'lowest powers',
  per: 'statements of whose watts they are',
  kind: 'sorts of power',
  load_ohm: 'loads',
  distortion_percent: 'distortions',
  distortion: 'measures of distortion',
  frequency_Hz: 'frequencies',
  channels: 'numbers of channels',
  driven: 'numbers of driven channels',
  bridged: 'bridgings',
  supply: 'supplies',
  duration_s: 'durations',
  burst_s: 'bursts',
  standard: 'standards',
};

/** A claim while it is read. */
export interface Draft {
  readonly terms: ClaimTerms;
  /** What was said of each term that was stated. */
  readonly stated: ReadonlyMap<keyof ClaimTerms, Statement>;
}

/** Terms from statements; saying the same twice is no fault, saying something else is. */
export function assembled(statements: readonly Statement[], faults: TextFault[]): Draft {
  const stated = new Map<keyof ClaimTerms, Statement>();
  for (const statement of statements) {
    const { term } = statement;
    const before = stated.get(term);
    if (before === undefined) stated.set(term, statement);
    else if (JSON.stringify(before.value) !== JSON.stringify(statement.value))
      faults.push(twice(before, statement));
  }
  // A length of bursts makes the power that of bursts, unless another word says what it is.
  const kind = stated.has('burst_s') ? { kind: 'burst' as const } : {};
  const values = Object.fromEntries([...stated].map(([term, { value }]) => [term, value]));
  const terms: ClaimTerms = { ...NO_TERMS, ...kind, ...values };
  for (const { term, what, mend } of termFaults(terms))
    faults.push({ at: stated.get(term)?.at ?? 0, what, mend });
  return { terms, stated };
}

/** That a term was said before with another value. */
export function twice(before: Statement, after: Statement): TextFault {
  const [first, second] = [before.said, after.said].map((text) => quoted(text.trim()));
  return {
    at: after.at,
    what: first === second ? `${first} is said twice` : `two ${WORDS[after.term]}: ${first} and ${second}`,
    mend: 'one claim holds one of them: write the other as a claim of its own',
  };
}
