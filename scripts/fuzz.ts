/**
 * Feeds damaged and hostile input to everything that reads what strangers wrote, and prints a table, as docs/fuzzing.md
 * holds it: `npm run fuzz -- [--cases N] [--only sequence,wav] [--seed S] [--path P]`. 100 000 cases a reader when not
 * said otherwise, which takes the better part of an hour. Exit status 1 when a promise was broken, 2 for bad arguments.
 */
import { BadArguments, parseArguments } from './fuzz/arguments.js';
import { SUBJECTS } from './fuzz/subjects.js';
import { fuzzTable, held } from './fuzz/table.js';
import { watched } from './fuzz/watched.js';
import type { Account } from './fuzz/worker.js';

function asked() {
  try {
    return parseArguments(process.argv.slice(2), Object.keys(SUBJECTS));
  } catch (error) {
    if (!(error instanceof BadArguments)) throw error;
    console.error(`fuzz: ${error.message}`);
    process.exit(2);
  }
}

const { cases, seed, only, path } = asked();
const accounts: Account[] = [];
// One after the other: side by side they would slow each other down, and time is one of the things measured.
for (const name of only) {
  const account = await watched({ name, cases, seed, path });
  console.error(`${name}: ${account.failure ?? 'done'}`);
  accounts.push(account);
}
console.log(
  `Seed ${seed}, up to ${cases} cases a reader, Node ${process.versions.node}.\n\n${fuzzTable(accounts)}`,
);
process.exitCode = accounts.every(held) ? 0 : 1;
