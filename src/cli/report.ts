import { htmlReport } from '../report/html-report.js';
import { claimGiven } from './given-claims.js';
import { readRuns } from './run-number.js';
import type { Terminal } from './terminal.js';
import { writeUserFile } from './write-output.js';

/** `ohmest report`: one self-contained page for one or several runs. */
export async function report(
  terminal: Terminal,
  runs: readonly string[],
  options: { readonly db: string; readonly output: string; readonly claim?: string },
): Promise<number> {
  const claim = options.claim === undefined ? null : claimGiven(options.claim);
  writeUserFile(options.output, await htmlReport(readRuns(options.db, runs), claim));
  terminal.err(`report: ${options.output}`);
  return 0;
}
