/** What a permit binds, and what stands against it at the moment of use. */
export interface PermitTerms {
  readonly sequence_sha256: string;
  readonly bench_fingerprint: string;
  /** As it was given; null: none. */
  readonly claim: string | null;
}

/** A permit as far as its use is concerned. */
export interface SignedTerms extends PermitTerms {
  readonly id: string;
  /** Moments, ISO 8601. */
  readonly signed: string;
  readonly expires: string;
  /** Who signed it, and what they confirmed; left out where only the terms are at hand. */
  readonly by?: string;
  readonly checklist?: unknown;
}

/** No permit lives longer: what was confirmed in person does not stay so. */
export const LONGEST_PERMIT_s = 7 * 86_400;

/** How much of a hash is shown: enough to tell two apart by eye. */
const SHOWN = 12;

/**
 * Why a permit does not cover a run; empty when it does.
 *
 * @param usedBy number of the run that has used it; null: none. A permit serves one run
 */
export function permitFaults(
  permit: SignedTerms,
  present: PermitTerms,
  now: Date,
  usedBy: number | null,
): string[] {
  const faults: string[] = [];
  if (usedBy !== null) faults.push(`run ${usedBy} has used it, and a permit serves one run`);
  faults.push(...damage(permit));
  if (!(now < new Date(permit.expires))) faults.push(`it expired at ${permit.expires}`);
  // A clock that was set back would let a permit live for ever.
  if (now < new Date(permit.signed))
    faults.push(`it was signed at ${permit.signed}, which is in the future by this clock`);
  const differs = (what: string, signed: string, found: string) => {
    if (signed !== found)
      faults.push(`${what} differs: signed for ${signed.slice(0, SHOWN)}, found ${found.slice(0, SHOWN)}`);
  };
  differs('the sequence', permit.sequence_sha256, present.sequence_sha256);
  differs(
    'the bench, its calibration or a program of it',
    permit.bench_fingerprint,
    present.bench_fingerprint,
  );
  if (permit.claim !== present.claim)
    faults.push(
      `the claim differs: signed for ${claimWords(permit.claim)}, found ${claimWords(present.claim)}`,
    );
  return faults;
}

/** What no permit that ohmest has signed says: somebody has changed it where it is kept. */
function damage({ signed, expires, by, checklist }: SignedTerms): string[] {
  const lives_s = (Date.parse(expires) - Date.parse(signed)) / 1000;
  const faults: string[] = [];
  if (Number.isNaN(Date.parse(signed))) faults.push(`the time of its signature cannot be read: '${signed}'`);
  if (lives_s > LONGEST_PERMIT_s + 1)
    faults.push(`it is valid for ${(lives_s / 86_400).toFixed(0)} days, and 7 is the maximum`);
  if (by !== undefined && by.trim() === '') faults.push('it is not signed');
  if (checklist !== undefined && !isConfirmed(checklist)) faults.push('its checklist is damaged');
  return faults;
}

function isConfirmed(checklist: unknown): boolean {
  if (!Array.isArray(checklist) || checklist.length === 0) return false;
  return checklist.every(
    (one: { item?: unknown; answer?: unknown } | null) =>
      typeof one?.item === 'string' && typeof one.answer === 'string',
  );
}

const claimWords = (claim: string | null) => (claim === null ? 'none' : `'${claim}'`);
