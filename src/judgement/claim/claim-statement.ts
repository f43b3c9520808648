import type { ClaimTerms } from './claim.js';

/** A fault of a text: where it stands, counted from 0, what is wrong, and what would be right. */
export interface TextFault {
  readonly at: number;
  readonly what: string;
  readonly mend: string;
}

/** A term as a text states it. */
export type Statement = {
  readonly [Term in keyof ClaimTerms]: {
    readonly term: Term;
    readonly value: NonNullable<ClaimTerms[Term]>;
    /** Where it stands, counted from 0, and in which words. */
    readonly at: number;
    readonly said: string;
  };
}[keyof ClaimTerms];

/** Takes down what a turn of phrase states; where it stands is known to the listener. */
export interface ClaimListener {
  say<Term extends keyof ClaimTerms>(term: Term, value: NonNullable<ClaimTerms[Term]>): void;
  fault(what: string, mend: string): void;
  /** What was stated last: some words mean another thing behind a power than behind a percentage. */
  readonly last: keyof ClaimTerms | null;
}
