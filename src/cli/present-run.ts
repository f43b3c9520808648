import type { RunRecord } from '../record/run-record.js';
import { floorOfRun } from './floor-of-run.js';
import type { Terminal } from './terminal.js';
import { writeUserFile } from './write-output.js';

/** The result on stdout, and the report where it was asked for. */
export async function presentRun(
  terminal: Terminal,
  record: RunRecord,
  options: { readonly db: string; readonly report?: string; readonly json?: boolean },
): Promise<void> {
  if (options.json) {
    const { showDocument } = await import('../report/show-document.js');
    terminal.out(JSON.stringify(showDocument(record), null, 2));
  } else {
    const { textSummary } = await import('../report/text-summary.js');
    terminal.out(textSummary(record, { width: terminal.width, colour: terminal.colour }));
    terminal.err(`run ${record.run} in ${options.db}`);
  }
  if (options.report !== undefined) {
    const { htmlReport } = await import('../report/html-report.js');
    writeUserFile(options.report, htmlReport(record, null, floorOfRun(record)));
    terminal.err(`report: ${options.report}`);
  }
}
