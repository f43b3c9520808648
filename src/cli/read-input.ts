import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readBench } from '../bench/bench-file.js';
import type { BenchSetup } from '../bench/bench-setup.js';
import { openSimulated } from '../bench/simulated/open-simulated.js';
import { InputError } from '../errors/ohmest-error.js';
import { DocumentError } from '../schema/document-error.js';
import { makePlan } from '../sequence/make-plan.js';
import type { Plan } from '../sequence/plan.js';
import { readSequence } from '../sequence/sequence-file.js';
import { claimPower } from './claim-power.js';
import { FaultList } from './fault-list.js';
import { PACKAGE_ROOT } from './package-root.js';

/** A file that the user named cannot be read. */
export class FileUnreadable extends InputError {
  readonly code = 'FILE_UNREADABLE';
}

/** Reads a file that the user named. @throws FileUnreadable */
export function readUserFile(path: string): Buffer {
  try {
    return readFileSync(path);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const reasons: Record<string, string> = {
      ENOENT: 'there is no such file',
      EISDIR: 'this is a folder, not a file',
      EACCES: 'this file may not be read',
    };
    throw new FileUnreadable(
      { what: reasons[code ?? ''] ?? `this file cannot be read (${code})`, where: path },
      { cause: error },
    );
  }
}

/**
 * Path of a document the user named: a file, or else the plain name of one that ships in `folder`.
 */
function locate(named: string, folder: 'sequences' | 'benches'): string {
  if (existsSync(named) || !/^[\w-]+$/.test(named)) return named;
  const shipped = join(PACKAGE_ROOT, folder, `${named}.yaml`);
  return existsSync(shipped) ? shipped : named;
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
  if (setup?.kind === 'simulated') faults.gather(() => openSimulated(setup));
  return setup;
}

/**
 * Reads a bench and a sequence, files or those that ship, and lays the sequence out for the bench.
 *
 * @param faults what is wrong with other inputs, to be said together with what is wrong with these
 * @param claim what the maker claims per channel, as written; left out: nothing
 * @throws InputError listing every fault of both files, and of the twin of a simulated bench
 */
export function planNamed(
  sequence: string,
  bench: string,
  faults = new FaultList(),
  claim?: string,
): { readonly setup: BenchSetup; readonly plan: Plan } {
  const setup = checkedBench(bench, faults);
  const claim_W = claim === undefined ? undefined : faults.gather(() => claimPower(claim));
  // A claim that cannot be read is complained about by itself, not by every step that needs it as well.
  const laidOutFor = claim_W === null ? null : setup;
  const plan = faults.gather(() => layOut(locate(sequence, 'sequences'), laidOutFor, claim_W ?? undefined));
  faults.throwIfAny();
  return { setup: setup!, plan: plan! };
}

/** The plan; null when there is no bench (or no readable claim) to lay it out for. @throws DocumentError */
function layOut(path: string, setup: BenchSetup | null, claim_W: number | undefined): Plan | null {
  const sequence = readSequence(readUserFile(path), path);
  if (setup) return makePlan(sequence, setup, { claim_W });
  if (sequence.faults.length > 0) throw new DocumentError(path, sequence.faults);
  return null;
}
