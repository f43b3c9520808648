import { DocumentError } from '../schema/document-error.js';
import { nearest } from '../schema/nearest.js';
import { quoted } from '../units/parse.js';
import type { Claim, ClaimTerms } from './claim.js';
import { ClaimDraft } from './claim-draft.js';
import { termFaults } from './claim-faults.js';
import { KNOWN_WORDS, PHRASES } from './claim-patterns.js';

/** A claim is one line; anything longer is something else. */
const LONGEST = 500;

/**
 * Reads a claim from one line of text, such as `120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel`.
 *
 * Terms may stand in any order, parted by commas or joined by words (`100 W per channel into 8 ohm`). What is not
 * stated is null in the result.
 *
 * @param name what stands in front of a fault's place
 * @throws DocumentError listing every fault with its column: unknown words, numbers without unit, terms said
 *   twice, values that cannot be, terms that contradict each other, no power
 */
export function parseClaim(text: string, name = 'claim'): Claim {
  const draft = drafted(text);
  const { terms, faults } = draft;
  if (terms.power_W === null && faults.length === 0)
    draft.fault(
      0,
      `${quoted(text)} states no power`,
      "give one, as in '120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel'",
    );
  if (faults.length > 0 || terms.power_W === null) throw new DocumentError(name, faults);
  return { ...terms, power_W: terms.power_W };
}

/** Reads conditions without a power, such as `8 ohm, 0.1 %`, as `parseClaim` reads a claim. @throws DocumentError */
export function parseTerms(text: string, name = 'terms'): ClaimTerms {
  const draft = drafted(text);
  const { terms, faults } = draft;
  if (terms.power_W !== null)
    draft.fault(
      draft.placeOf('power_W'),
      'a power is what comes out',
      "give conditions only, as in '8 ohm, 0.1 %'",
    );
  else if (faults.length === 0 && Object.values(terms).every((term) => term === null))
    draft.fault(0, `${quoted(text)} states no condition`, "give some, as in '8 ohm, 0.1 %'");
  if (faults.length > 0) throw new DocumentError(name, faults);
  return terms;
}

function drafted(text: string): ClaimDraft {
  const draft = new ClaimDraft();
  if (text.length > LONGEST) {
    draft.fault(LONGEST, `the text is longer than ${LONGEST} characters`, 'a claim is one line');
    return draft;
  }
  for (let at = 0; at < text.length; ) at = takePhrase(draft, text, at);
  // A length of bursts makes the power that of bursts, unless another word says what it is.
  if (draft.terms.burst_s !== null) draft.terms.kind ??= 'burst';
  for (const { term, what, mend } of termFaults(draft.terms)) draft.fault(draft.placeOf(term), what, mend);
  return draft;
}

/** A word, with the unit of which it may have been meant as the number. */
const UNKNOWN = /([^\s,;]+)(?:\s+(?:W|watts?|ohms?|k?Hz|V|%)(?![a-zA-Z]))?/y;

/** Takes what stands at a place, and gives the place behind it. */
function takePhrase(draft: ClaimDraft, text: string, at: number): number {
  for (const { pattern, take } of PHRASES) {
    pattern.lastIndex = at;
    const groups = pattern.exec(text);
    if (!groups || groups[0] === '') continue;
    take(draft, groups, at);
    return at + groups[0].length;
  }
  UNKNOWN.lastIndex = at;
  const [all, unknown = ''] = UNKNOWN.exec(text)!;
  const near = nearest(unknown, KNOWN_WORDS);
  draft.fault(
    at,
    `unknown word ${quoted(unknown)}`,
    near ? `did you mean '${near}'?` : "a claim reads like '120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel'",
  );
  return at + all.length;
}
