/** Adds up the JSON results of all test groups in a folder; fails when any test failed or was skipped. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

const folder = process.argv[2];
const groups = readdirSync(folder)
  .filter((name) => name.endsWith('.json'))
  .map((name) => JSON.parse(readFileSync(join(folder, name), 'utf8')));
const total = (key) => groups.reduce((sum, group) => sum + group[key], 0);
const passed = total('numPassedTests');
const failed = total('numFailedTests');
const skipped = total('numPendingTests') + total('numTodoTests');
console.log(`${passed} passed, ${failed} failed, ${skipped} skipped`);
process.exitCode = failed + skipped > 0 || passed === 0 ? 1 : 0;
