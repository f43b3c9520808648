import { existsSync } from 'node:fs';
import type { Claim } from '../../judgement/claim/claim.js';
import { readClaims } from '../../judgement/claim/claim-file.js';
import { claimLines, claimsInLines } from '../../judgement/claim/claim-lines.js';
import { parseClaims } from '../../judgement/claim/claim-text.js';
import { restateClaim } from '../../judgement/restate/restate-claim.js';
import type { ClaimedPower } from '../../sequence/lay-out.js';
import { readUserFile } from '../terminal/user-file.js';

/** A claim with what a file says about it. */
export interface PublishedClaim {
  readonly unit: string | null;
  readonly source: string | null;
  readonly claim: Claim;
}

/** A file where there is one of that name, or where the name is plainly that of one. */
const isFile = (given: string): boolean => /\.ya?ml$/.test(given) || existsSync(given);

/**
 * Reads claims: a claim file, else claims as text.
 *
 * @param name what stands in front of a fault's place in a text
 * @throws InputError
 */
export function publishedClaims(given: string, name: string): PublishedClaim[] {
  if (!isFile(given)) return parseClaims(given, name).map((claim) => ({ unit: null, source: null, claim }));
  const { unit, source, claims } = readClaims(readUserFile(given), given);
  return claims.map((claim) => ({ unit, source, claim }));
}

/**
 * What `--claim` gives, as a run keeps it: a text as it was typed, a file as one line a claim.
 *
 * @throws InputError when it cannot be read
 */
export function claimGiven(given: string): string {
  const published = publishedClaims(given, '--claim');
  return isFile(given) ? claimLines(published.map(({ claim }) => claim)) : given.trim().replace(/\s+/g, ' ');
}

/** The powers that levels are taken from: of every claim in a text, continuous watts per channel. @throws DocumentError */
export const claimedPowers = (text: string): ClaimedPower[] => claimsInLines(text, '--claim').map(powerOf);

function powerOf(claim: Claim): ClaimedPower {
  const { load_ohm } = claim;
  const steps = restateClaim(claim, { per: 'channel', kind: 'continuous' });
  const last = steps.at(-1);
  if (last === undefined) return { power_W: claim.power_W, load_ohm, note: '' };
  const note =
    last.power_W === null
      ? last.assumes
      : steps.map(({ what, assumes }) => `${what}, if ${assumes}`).join('; ');
  return { power_W: last.power_W, load_ohm, note };
}
