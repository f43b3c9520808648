import type { BenchSetup } from '../bench-setup.js';
import { SimulatedBench } from './simulated-bench.js';
import { twinOf } from './twin-of.js';

/**
 * The simulated bench that a bench file describes, with the twin that it names.
 *
 * @throws TwinNotReadable, DocumentError (the twin file is wrong), TwinDoesNotFit
 */
export function openSimulated(setup: BenchSetup): SimulatedBench {
  return new SimulatedBench(setup, twinOf(setup));
}
