import type { RunRecord } from '../../record/run-record.js';
import { visibleName } from '../../units/visible-text.js';
import { floorOfRun } from '../look/floor-of-run.js';
import type { Terminal } from '../terminal/terminal.js';
import { FileUnwritable, writeUserFile } from '../terminal/write-output.js';

/**
 * The result on stdout, and the report where it was asked for. A report that cannot be written any more is told of and
 * costs the run nothing: its own end decides the exit status, and 2 would say that nothing was played.
 */
export async function presentRun(
  terminal: Terminal,
  record: RunRecord,
  options: { readonly db: string; readonly report?: string; readonly json?: boolean },
): Promise<void> {
  if (options.json) {
    const { showDocument } = await import('../../document/json/show-document.js');
    terminal.out(JSON.stringify(showDocument(record), null, 2));
  } else {
    const { runText } = await import('../../document/text/run-text.js');
    terminal.out(runText(record, { width: terminal.width, colour: terminal.colour }), 'styled');
    terminal.err(`run ${record.run} in ${visibleName(options.db)}`);
  }
  if (options.report !== undefined) {
    const { htmlReport } = await import('../../document/html/html-report.js');
    try {
      writeUserFile(options.report, htmlReport(record, null, floorOfRun(record)), 'page');
      terminal.err(`report: ${visibleName(options.report)}`);
    } catch (error) {
      if (!(error instanceof FileUnwritable)) throw error;
      terminal.err(
        `no report was written: ${error.message} The run is kept: \`ohmest report ${record.run} -o FILE --db ${visibleName(options.db)}\` writes its report.`,
      );
    }
  }
}
