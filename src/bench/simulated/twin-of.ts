import { asTold, benchFault, inputError } from '../../errors/error-table.js';
import type { BenchSetup } from '../bench-setup.js';
import { onDisk, whyUnreadable } from '../files.js';
import type { Twin } from './twin.js';
import { readTwin } from './twin-file.js';

/** The bench file and the twin that it names do not go together. */
export const TwinDoesNotFit = inputError('TWIN_DOES_NOT_FIT', asTold);

/** A setting asks for a load that the bench file does not give. */
export const LoadNotOnBench = benchFault('LOAD_NOT_ON_BENCH', asTold);

/** The twin file that a bench file names is not there, or may not be read. */
export const TwinNotReadable = inputError('TWIN_NOT_READABLE', asTold);

/**
 * The twin that a bench file names.
 *
 * @throws TwinNotReadable, DocumentError (the twin file is wrong), TwinDoesNotFit
 */
export function twinOf(setup: BenchSetup): Twin {
  if (setup.interface.kind !== 'simulated') throw notSimulated(setup);
  const path = setup.interface.twinPath;
  const twin = readTwin(textOf(path), path);
  requireFit(setup, twin);
  return twin;
}

/** @throws TwinDoesNotFit when the bench has more channels than the twin */
export function requireFit({ channels }: Pick<BenchSetup, 'channels'>, twin: Twin): void {
  if (twin.channels === null || twin.channels >= channels.length) return;
  throw new TwinDoesNotFit({
    what: `the bench has ${channels.length} channels and the twin ${twin.name} only ${twin.channels}`,
    mend: 'Give the bench file no more channels than the twin has',
  });
}

export const notSimulated = ({ name }: Pick<BenchSetup, 'name'>) =>
  new TwinDoesNotFit({ what: `the bench ${name} has no simulated interface` });

function textOf(path: string): string {
  try {
    return onDisk.read(path).toString();
  } catch (error) {
    throw new TwinNotReadable({
      what: `the twin file ${path} ${whyUnreadable(error)}`,
      mend: 'Name a shipped twin or a file beside the bench file',
      cause: error,
    });
  }
}
