import type { BenchSetup } from '../bench-setup.js';
import { readPlainFile, whyUnreadable } from '../files.js';
import { SimulatedBench } from './simulated-bench.js';
import { TwinDoesNotFit, TwinNotReadable } from './simulated-faults.js';
import { readTwin } from './twin-file.js';

/**
 * The simulated bench that a bench file describes, with the twin that it names.
 *
 * @throws TwinNotReadable, DocumentError (the twin file is wrong), TwinDoesNotFit
 */
export function openSimulated(setup: BenchSetup): SimulatedBench {
  if (setup.interface.kind !== 'simulated') {
    throw new TwinDoesNotFit({ what: `the bench ${setup.name} has no simulated interface` });
  }
  const path = setup.interface.twinPath;
  return new SimulatedBench(setup, readTwin(textOf(path), path));
}

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
