/**
 * Changes the program in one place at a time and runs the tests on each change: `npm run mutants -- [room or file]...`,
 * all of ROOMS when none is named. Prints what no test noticed, less what docs/mutants.md gives a reason for. Exit status
 * 1 when something is left, 2 for bad arguments.
 */
import { setPriority } from 'node:os';
import { askedFiles, UnknownPlace } from './mutants/asked.js';
import { judgedSurvivors } from './mutants/judged.js';
import { installStryker, mutantsOf } from './mutants/stryker.js';
import { type Account, accountOf, accountWords, summary } from './mutants/survivors.js';

function asked() {
  try {
    return askedFiles(process.argv.slice(2));
  } catch (error) {
    if (!(error instanceof UnknownPlace)) throw error;
    console.error(`mutants: ${error.message}`);
    process.exit(2);
  }
}

const files = asked();
// It takes hours: everything else on the machine goes first.
setPriority(10);
installStryker();
const judged = judgedSurvivors();
const accounts: Account[] = [];
for (const file of files) {
  const account = accountOf(mutantsOf(file), judged);
  console.log(accountWords(account));
  accounts.push(account);
}
console.log(summary(accounts));
process.exitCode = accounts.some(({ survivors }) => survivors.length > 0) ? 1 : 0;
