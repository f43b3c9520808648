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
}

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
  if (!(now < new Date(permit.expires))) faults.push(`it expired at ${permit.expires}`);
  // A clock that was set back would let a permit live for ever.
  if (now < new Date(permit.signed))
    faults.push(`it was signed at ${permit.signed}, which is yet to come by this clock`);
  const differs = (what: string, signed: string, found: string) => {
    if (signed !== found)
      faults.push(`${what} differs: signed for ${signed.slice(0, SHOWN)}, found ${found.slice(0, SHOWN)}`);
  };
  differs('the sequence', permit.sequence_sha256, present.sequence_sha256);
  differs('the bench or its calibration', permit.bench_fingerprint, present.bench_fingerprint);
  if (permit.claim !== present.claim)
    faults.push(
      `the claim differs: signed for ${claimWords(permit.claim)}, found ${claimWords(present.claim)}`,
    );
  return faults;
}

const claimWords = (claim: string | null) => (claim === null ? 'none' : `'${claim}'`);
