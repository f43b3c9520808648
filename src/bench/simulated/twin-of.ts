import type { BenchSetup } from '../bench-setup.js';
import { readPlainFile, whyUnreadable } from '../files.js';
import { TwinDoesNotFit, TwinNotReadable } from './simulated-faults.js';
import type { Twin } from './twin.js';
import { readTwin } from './twin-file.js';

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
    return readPlainFile(path).toString('utf8');
  } catch (error) {
    throw new TwinNotReadable({
      what: `the twin file ${path} ${whyUnreadable(error)}`,
      mend: 'Name a shipped twin or a file beside the bench file',
      cause: error,
    });
  }
}
