import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { readBench } from '../../src/bench/bench-file.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { openSimulated } from '../../src/bench/simulated/open-simulated.js';
import type { SimulatedBench } from '../../src/bench/simulated/simulated-bench.js';

/** A shipped simulated bench, with changes to the text of its file. */
export function twinBench(
  name: string,
  change: (text: string) => string = (text) => text,
): { setup: BenchSetup; bench: SimulatedBench } {
  const path = fileURLToPath(new URL(`../../benches/${name}.yaml`, import.meta.url));
  const setup = readBench(change(readFileSync(path, 'utf8')), path);
  return { setup, bench: openSimulated(setup) };
}
