import type { ClaimTerms } from '../../judgement/claim/claim.js';
import { claimFigures } from '../../judgement/claim/claim-figures.js';
import { parseTerms } from '../../judgement/claim/claim-text.js';
import { claimWords, missingOf } from '../../judgement/claim/claim-words.js';
import { compareClaims } from '../../judgement/restate/compare-claims.js';
import { restateClaim } from '../../judgement/restate/restate-claim.js';
import { type PublishedClaim, publishedClaims } from '../run/given-claims.js';
import { FaultList } from '../terminal/fault-list.js';
import type { Terminal } from '../terminal/terminal.js';
import { type ClaimStudy, claimsText, type NamedComparison } from './claim-text.js';

export interface ClaimOptions {
  /** Terms to restate on, as in `8 ohm, 0.1 %`. */
  readonly as?: string;
  readonly json?: boolean;
}

/** `ohmest claim`: says what claims leave open, restates them, and sets several side by side. */
export async function claim(
  terminal: Terminal,
  given: readonly string[],
  options: ClaimOptions,
): Promise<number> {
  const faults = new FaultList();
  const as = options.as;
  const terms = as === undefined ? null : faults.gather(() => parseTerms(as, '--as'));
  const read = given.map((text, i) =>
    faults.gather(() => publishedClaims(text, given.length > 1 ? `claim ${i + 1}` : 'claim')),
  );
  faults.throwIfAny();
  const studies = read.flatMap((found) => found ?? []).map((one, i) => study(one, i, terms));
  const comparisons = pairsOf(studies, terms !== null);
  terminal.out(
    options.json
      ? JSON.stringify({ claims: studies.map(document), comparisons }, null, 2)
      : claimsText(studies, comparisons, terms, Math.min(120, Math.max(60, terminal.width))),
  );
  return 0;
}

function study(found: PublishedClaim, index: number, terms: ClaimTerms | null): ClaimStudy {
  return {
    name: nameOf(index),
    ...found,
    missing: missingOf(found.claim),
    steps: terms && restateClaim(found.claim, terms),
  };
}

/** A to Z, then A2 to Z2. */
const nameOf = (index: number): string =>
  `${String.fromCharCode(65 + (index % 26))}${index < 26 ? '' : Math.floor(index / 26) + 1}`;

/** Every claim beside every later one; on the terms asked for, where that could be computed. */
function pairsOf(studies: readonly ClaimStudy[], restated: boolean): NamedComparison[] {
  const final = ({ claim: own, steps }: ClaimStudy) => steps?.at(-1)?.claim ?? own;
  return studies.flatMap((first, i) =>
    studies.slice(i + 1).map((second) => ({
      first: first.name,
      second: second.name,
      ...(restated ? compareClaims(final(first), final(second)) : compareClaims(first.claim, second.claim)),
    })),
  );
}

const document = ({ claim: own, steps, ...rest }: ClaimStudy) => ({
  ...rest,
  text: claimWords(own),
  claim: own,
  figures: claimFigures(own),
  restated: steps,
});
