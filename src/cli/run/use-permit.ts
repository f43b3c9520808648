import { existsSync } from 'node:fs';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { asTold, inputError } from '../../errors/error-table.js';
import type { Permit, RunRecord } from '../../record/run-record.js';
import type { Ask } from '../../runner/course/run-request.js';
import { benchFingerprint } from '../../safety/bench-fingerprint.js';
import { permitFaults } from '../../safety/permit-terms.js';
import { openingQuestions } from '../../safety/unattended.js';
import type { Plan } from '../../sequence/plan.js';
import type { RunStore } from '../../store/contract/run-store.js';
import { PermitSlips } from '../../store/state/permit-slips.js';
import { stateFolder } from '../../store/state/state-folder.js';
import { quoted } from '../../units/parse.js';

/** No permit of that id. */
export const PermitUnknown = inputError('PERMIT_UNKNOWN', asTold);

/** A permit that does not cover the run that was asked for. */
export const PermitRefused = inputError('PERMIT_REFUSED', asTold);

/** What is to be run under a permit. */
export interface PermittedRun {
  readonly plan: Plan;
  readonly setup: BenchSetup;
  readonly claim: string | null;
}

/**
 * The permit of that id, if it covers the run.
 *
 * @param db path of the database that `store` opens
 * @param again the run that may have used it already, since it is to go on
 * @throws PermitUnknown, PermitRefused naming all that is against it
 */
export async function permitFor(
  { plan, setup, claim }: PermittedRun,
  id: string,
  { db, store }: { readonly db: string; store(): Promise<RunStore> },
  again: Pick<RunRecord, 'run' | 'checklist'> | null = null,
): Promise<UsablePermit> {
  const filed = existsSync(db) ? await (await store()).permits() : [];
  const found = filed.find(({ permit }) => permit.id === id);
  if (!found) {
    const open = filed.filter(({ run }) => run === null).map(({ permit }) => permit.id);
    throw new PermitUnknown({
      what: `there is no permit ${quoted(id)} in ${db}`,
      mend: open.length > 0 ? `Not used yet: ${open.join(', ')}` : 'Sign one with ohmest permit',
    });
  }
  const present = {
    sequence_sha256: plan.sequence.sha256,
    bench_fingerprint: benchFingerprint(setup),
    claim,
  };
  const { permit, run } = found;
  const usedAlready = run !== null && run === again?.run;
  const slips = new PermitSlips(stateFolder());
  const faults = [
    ...permitFaults(permit, present, new Date(), usedAlready ? null : run),
    ...slips.faults(permit, db),
    ...(usedAlready ? attendedSince(permit, again!) : []),
  ];
  if (faults.length > 0) throw refused(id, faults.join('; '));
  return {
    permit,
    begin: async (begin) => {
      if (usedAlready) return begin(null);
      const taken = slips.take(permit);
      if (taken === null)
        throw refused(id, 'it was used before, or another run is using it now, and a permit serves one run');
      const begun = await begin(id).catch((error: unknown) => {
        taken.giveBack();
        throw error;
      });
      taken.spend();
      return begun;
    },
  };
}

/** Whoever continued a run in person may have left other loads connected than those that were signed for. */
const attendedSince = ({ signed }: Permit, { checklist }: Pick<RunRecord, 'checklist'>): string[] =>
  checklist.some(({ at }) => Date.parse(at) > Date.parse(signed))
    ? ['a person has continued the run since it was signed, and may have changed the connections']
    : [];

const refused = (id: string, why: string) =>
  new PermitRefused({
    what: `permit ${id} does not cover this run: ${why}`,
    mend: 'Nothing was played. Sign a new one with ohmest permit',
  });

/** A permit that covers a run. */
export interface UsablePermit {
  readonly permit: Permit;
  /**
   * Begins a run, or a session of one, which is told the id that it is to keep: null when an earlier session has used the permit. It
   * is spent when something has begun, and not before.
   *
   * @throws PermitRefused when another run was quicker; what `begin` throws, and then the permit can still be used
   */
  begin<T>(begin: (id: string | null) => Promise<T>): Promise<T>;
}

/** The answers that stand in for a checklist. */
export const signedAnswers = ({ checklist, by, signed }: Permit): RunRecord['checklist'] =>
  checklist.map(({ item, answer }) => ({ item, answer, by, at: signed }));

/**
 * Answers in the place of a person: yes to the first connection and to the opening questions of the sequence, as they were signed.
 * For all else nobody is present who could have seen to it: neither for a change, nor for the connection that a resumed run
 * begins with, where that is another than the signed one.
 *
 * @param from index of the step that a session begins with
 */
export function askUnderPermit({ checklist }: Pick<Permit, 'checklist'>, plan: Plan, from = 0): Ask {
  const signed = new Set(checklist.map(({ item }) => item));
  const opening = openingQuestions(plan)
    .slice(from)
    .map(({ text }) => text);
  let connected = false;
  return async ({ about, text, confirmed }) => {
    // The connection comes first, then what is checked on it.
    if (about === 'set-up') {
      connected ||= signed.has(text);
      return connected || 'nobody';
    }
    if (about === 'sequence') {
      const isNext = opening[0] === text && signed.has(text);
      if (isNext) opening.shift();
      return isNext || 'nobody';
    }
    // Asked again after a break: nobody has been there since, or the permit would not cover the session.
    return (confirmed?.every((item) => signed.has(item)) ?? false) || 'nobody';
  };
}
