import type { Claim } from './claim.js';
import { parseClaims } from './claim-text.js';
import { claimWords } from './claim-words.js';

/** Claims as one text, a line each, as a run keeps them; `claimsInLines` reads it back. */
export const claimLines = (claims: readonly Claim[]): string => claims.map(claimWords).join('\n');

/**
 * Reads claims that a run keeps, a line each.
 *
 * @param name what stands in front of a fault's place
 * @throws DocumentError
 */
export const claimsInLines = (text: string, name = 'claim'): Claim[] =>
  text
    .split('\n')
    .filter((line) => line.trim() !== '')
    .flatMap((line) => parseClaims(line.trim(), name));
