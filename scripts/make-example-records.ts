/**
 * Makes the calibration records of the example benches anew, into `calibration/NAME-OF-THE-BENCH/`, and says what then belongs
 * under `truth` in the twin of each.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { readBench } from '../src/bench/bench-file.js';
import { EXAMPLES, exampleRecords, residualTruth } from './example-records.js';

const ROOT = join(import.meta.dirname, '..');
const percent = (share: number) => `${Number((100 * share).toFixed(4))} %`;

for (const example of EXAMPLES) {
  const folder = join(ROOT, 'calibration', example.bench);
  mkdirSync(folder, { recursive: true });
  const records = await exampleRecords(example);
  for (const [name, text] of records) writeFileSync(join(folder, name), text);
  const path = join(ROOT, 'benches', `${example.bench}.yaml`);
  const { channels } = readBench(readFileSync(path), path);
  const truth = residualTruth(example, new Map(channels.map((chain) => [chain.channel, chain])));
  console.log(`${example.bench}: ${records.size} records; what its twin is off them:`);
  for (const [channel, off] of truth)
    console.log(
      `    - { channel: ${channel}, output_level: ${percent(off.outputLevel)}, input_level: ${percent(off.inputLevel)}, attenuator: ${percent(off.attenuator)}, load: ${percent(off.load)} }`,
    );
}
