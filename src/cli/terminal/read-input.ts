import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { readBench } from '../../bench/bench-file.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { kindOf } from '../../bench/kinds.js';
import { PACKAGE_ROOT } from '../../bench/package-root.js';
import { DocumentError } from '../../schema/document-error.js';
import { makePlan } from '../../sequence/make-plan.js';
import type { Plan } from '../../sequence/plan.js';
import { readSequence } from '../../sequence/sequence-file.js';
import { claimedPowers, claimGiven } from '../run/given-claims.js';
import { FaultList } from './fault-list.js';
import { FileUnreadable, readUserFile } from './user-file.js';

/**
 * Path of a document the user named: a file, or else the plain name of one that ships in `folder`.
 *
 * @throws FileUnreadable when a plain name is neither
 */
function locate(named: string, folder: 'sequences' | 'benches'): string {
  if (existsSync(named) || !/^[\w-]+$/.test(named)) return named;
  const shipped = readdirSync(join(PACKAGE_ROOT, folder))
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => name.slice(0, -'.yaml'.length));
  if (shipped.includes(named)) return join(PACKAGE_ROOT, folder, `${named}.yaml`);
  const kind = folder === 'benches' ? 'bench' : 'sequence';
  throw new FileUnreadable({
    what: `there is no such file, and no ${kind} of this name ships`,
    where: named,
    mend: existsSync(`${named}.yaml`)
      ? `There is a file ${named}.yaml: name it in full`
      : `Name a file, or one of these: ${shipped.join(', ')}`,
  });
}

/** Reads a bench file, or one of the benches that ship. */
export function benchNamed(named: string): BenchSetup {
  const path = locate(named, 'benches');
  return readBench(readUserFile(path), path);
}

/**
 * Reads a bench file, and of a simulated bench the twin that it names, which must fit it.
 *
 * @returns the bench, also when its twin is at fault; null when it is so itself. The faults are noted in `faults`
 */
export function checkedBench(named: string, faults: FaultList): BenchSetup | null {
  const setup = faults.gather(() => benchNamed(named));
  if (setup) faults.gather(() => kindOf(setup.kind).checkFiles(setup));
  return setup;
}

/**
 * Reads a bench and a sequence, files or those that ship, and lays the sequence out for the bench.
 *
 * @param faults what is wrong with other inputs, to be said together with what is wrong with these
 * @param claim what the maker claims: a text, or the name of a claim file; left out: nothing
 * @returns also the claim as a run keeps it; null without one
 * @throws InputError listing every fault of both files, and of the twin of a simulated bench
 */
export function planNamed(
  sequence: string,
  bench: string,
  faults = new FaultList(),
  claim?: string,
): { readonly setup: BenchSetup; readonly plan: Plan; readonly claim: string | null } {
  const setup = checkedBench(bench, faults);
  const kept = claim === undefined ? '' : faults.gather(() => claimGiven(claim));
  // A claim that cannot be read is complained about by itself, not by every step that needs it as well.
  const laidOutFor = kept === null ? null : setup;
  const plan = faults.gather(() => layOut(sequence, laidOutFor, kept ?? ''));
  faults.throwIfAny();
  return { setup: setup!, plan: plan!, claim: kept === '' ? null : kept };
}

/** The plan; null when there is no bench (or no readable claim) to lay it out for. @throws DocumentError */
function layOut(named: string, setup: BenchSetup | null, claim: string): Plan | null {
  const path = locate(named, 'sequences');
  const sequence = readSequence(readUserFile(path), path);
  if (setup) return makePlan(sequence, setup, { claims: claimedPowers(claim) });
  if (sequence.faults.length > 0) throw new DocumentError(path, sequence.faults);
  return null;
}
