import { visibleName } from '../../units/visible-text.js';
import type { Terminal } from '../terminal/terminal.js';
import { requireWritable, writeUserText } from '../terminal/write-output.js';
import { claimOf, readRuns } from './asked-runs.js';
import { requireDistinct } from './compare.js';
import { floorOfRun } from './floor-of-run.js';

/** `ohmest report`: one self-contained page for one run, or for several held against the first of them. */
export async function report(
  terminal: Terminal,
  runs: readonly string[],
  options: { readonly db: string; readonly output: string; readonly claim?: string },
): Promise<number> {
  requireDistinct(runs);
  const claim = await claimOf(options.claim);
  requireWritable(options.output, 'page');
  await writeUserText(options.output, await pageOf(runs, options.db, claim), 'page');
  terminal.err(`report: ${visibleName(options.output)}`);
  return 0;
}

/** Harmonics and spectra are most of a run; a comparison draws neither. */
async function pageOf(runs: readonly string[], db: string, claim: string | null): Promise<string> {
  if (runs.length === 1) {
    const { htmlReport } = await import('../../document/html/html-report.js');
    const record = (await readRuns(db, runs))[0]!;
    return htmlReport(record, claim, floorOfRun(record));
  }
  const { comparisonReport } = await import('../../document/comparison/comparison-report.js');
  return comparisonReport(await readRuns(db, runs, { harmonics: false, spectra: false }), claim);
}
