import { htmlReport } from '../report/html-report.js';
import { readRuns } from './run-number.js';
import type { Terminal } from './terminal.js';
import { writeUserFile } from './write-output.js';

/** `ohmest report`: one self-contained page for one or several runs. */
export async function report(
  terminal: Terminal,
  runs: readonly string[],
  options: { readonly db: string; readonly output: string },
): Promise<number> {
  writeUserFile(options.output, await htmlReport(readRuns(options.db, runs)));
  terminal.err(`report: ${options.output}`);
  return 0;
}
