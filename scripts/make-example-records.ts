/** Makes the calibration records of the example benches anew, into `calibration/NAME-OF-THE-BENCH/`. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { EXAMPLES, exampleRecords } from './example-records.js';

for (const example of EXAMPLES) {
  const folder = join(import.meta.dirname, '..', 'calibration', example.bench);
  mkdirSync(folder, { recursive: true });
  const records = await exampleRecords(example);
  for (const [name, text] of records) writeFileSync(join(folder, name), text);
  console.log(`${example.bench}: ${records.size} records`);
}
