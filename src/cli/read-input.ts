import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readBench } from '../bench/bench-file.js';
import type { BenchSetup } from '../bench/bench-setup.js';
import { InputError } from '../errors/ohmest-error.js';
import { makePlan } from '../sequence/make-plan.js';
import type { Plan } from '../sequence/plan.js';
import { readSequence } from '../sequence/sequence-file.js';
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

/** Reads a sequence, or one of those that ship, and lays it out for a bench. */
export function planNamed(named: string, setup: BenchSetup): Plan {
  const path = locate(named, 'sequences');
  return makePlan(readSequence(readUserFile(path), path), setup);
}
