import { knownPart } from '../record/known-part.js';
import type { RunRecord } from '../record/run-record.js';
import { DocumentError } from '../schema/document-error.js';
import { purposeOf } from '../schema/sequence-purpose.js';
import { claimsInLines } from './claim/claim-lines.js';
import { claimWords, missingOf } from './claim/claim-words.js';
import type { Conclusion } from './conclude/conclusion.js';
import { conclusionsOf } from './conclude/conclusions-of.js';
import { type ProtocolCheck, protocolCheck } from './protocol/protocol-check.js';
import type { Ratings } from './rating/rating.js';
import { ratings } from './rating/ratings.js';
import { type Verdict, verdict } from './verdict/verdict.js';

/** A claim with its verdict, and what the claim leaves open. */
export interface JudgedClaim {
  /** The claim on one line, in our own spelling. */
  readonly text: string;
  readonly verdict: Verdict;
  readonly left_open: readonly string[];
  /** Whether the run was made for it, rather than the reader bringing it along. */
  readonly stored: boolean;
}

/** A run held against claims. */
export interface JudgedClaims {
  /** Those that the reader brings along first. */
  readonly claims: readonly JudgedClaim[];
  /** Why the claim that the run keeps cannot be read; null when it can, or when there is none. */
  readonly unreadable: string | null;
}

/** The same with the ratings that the run gives by itself. */
export interface JudgedRun extends JudgedClaims {
  /** All that the run shows, in the order in which it is told. */
  readonly conclusions: readonly Conclusion[];
  readonly ratings: Ratings;
  /** Against the first claim; null for a run that has none and does not follow the rule's sequence. */
  readonly protocol: ProtocolCheck | null;
}

/**
 * Judges the claim of a run. Nothing of this is kept with a run: it follows from what is kept.
 *
 * @param brought another claim, a line each, to be judged besides; null without
 * @throws DocumentError when `brought` is no claim. What the run keeps is never thrown about
 */
export function judgeRun(whole: RunRecord, brought: string | null = null): JudgedRun {
  const record = knownPart(whole);
  const { claims, unreadable } = judgeClaims(record, brought);
  const rated = ratings(record);
  const byTheRule = claims.length > 0 || purposeOf(record.sequence.text).protocol === 'us-trade-rule';
  return {
    claims,
    unreadable,
    conclusions: conclusionsOf(record, { claims, unreadable }, rated),
    ratings: rated,
    protocol: byTheRule ? protocolCheck(record, claims[0]?.verdict.claim ?? null) : null,
  };
}

/** The verdicts alone, for who needs no ratings: those take far longer. Parameter and errors as above. */
export function judgeClaims(whole: RunRecord, brought: string | null = null): JudgedClaims {
  const record = knownPart(whole);
  const judge = (text: string, stored: boolean): JudgedClaim[] =>
    claimsInLines(text, '--claim').map((claim) => ({
      text: claimWords(claim),
      verdict: verdict(claim, record),
      left_open: missingOf(claim),
      stored,
    }));
  const asked = brought === null ? [] : judge(brought, false);
  let own: JudgedClaim[] = [];
  let unreadable: string | null = null;
  try {
    own = judge(record.claim ?? '', true);
  } catch (error) {
    if (!(error instanceof DocumentError)) throw error;
    unreadable = error.faults.map(({ what }) => what).join('; ');
  }
  return { claims: [...asked, ...own], unreadable };
}
