import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { kindOf } from '../../bench/kinds.js';

/** The bench that a bench file describes. Only its own kind of bench is loaded. */
export const benchFor = (setup: BenchSetup): Promise<Bench> => kindOf(setup.kind).make(setup);
