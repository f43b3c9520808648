import type { Fault } from '../schema/document-error.js';
import { quoted } from '../units/parse.js';
import { type ClaimTerms, NO_TERMS } from './claim.js';

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

type Mutable = { -readonly [Term in keyof ClaimTerms]: ClaimTerms[Term] };

/** A claim while it is read from a line of text: what was said so far, and where. */
export class ClaimDraft {
  readonly terms: Mutable = { ...NO_TERMS };
  readonly faults: Fault[] = [];
  private readonly places = new Map<keyof ClaimTerms, { readonly at: number; readonly said: string }>();
  /** What was read last: some words mean another thing behind a power than behind a percentage. */
  last: keyof ClaimTerms | null = null;

  /** Notes a term. Saying the same twice is no fault, saying something else is. */
  set<Term extends keyof ClaimTerms>(term: Term, value: ClaimTerms[Term], at: number, said: string): void {
    const before = this.places.get(term);
    this.last = term;
    if (before && JSON.stringify(this.terms[term]) !== JSON.stringify(value)) {
      const [first, second] = [before.said, said].map((text) => quoted(text.trim()));
      this.fault(
        at,
        first === second ? `${first} is said twice` : `two ${WORDS[term]}: ${first} and ${second}`,
        'one claim holds one of them: write the other as a claim of its own',
      );
      return;
    }
    this.terms[term] = value;
    if (!before) this.places.set(term, { at, said });
  }

  fault(at: number, what: string, mend: string): void {
    this.faults.push({ line: 1, column: at + 1, path: '', what, mend });
  }

  /** Where a term was said, counted from 0; the beginning when it was not. */
  placeOf(term: keyof ClaimTerms): number {
    return this.places.get(term)?.at ?? 0;
  }
}
