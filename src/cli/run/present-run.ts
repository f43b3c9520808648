import type { RunRecord } from '../../record/run-record.js';
import { visibleName } from '../../units/visible-text.js';
import { floorOfRun } from '../look/floor-of-run.js';
import type { Terminal } from '../terminal/terminal.js';
import { FileUnwritable, writeUserText } from '../terminal/write-output.js';

/**
 * The result on stdout, and the report where it was asked for. A report that cannot be written any more is told of and
 * costs the run nothing.
 *
 * @returns whether all that was asked for was written
 */
export async function presentRun(
  terminal: Terminal,
  record: RunRecord,
  options: { readonly db: string; readonly report?: string; readonly json?: boolean },
): Promise<boolean> {
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
      await writeUserText(options.report, htmlReport(record, null, floorOfRun(record)), 'page');
      terminal.err(`report: ${visibleName(options.report)}`);
    } catch (error) {
      if (!(error instanceof FileUnwritable)) throw error;
      terminal.err(
        `no report was written: ${error.message} The run is kept: \`ohmest report ${record.run} -o FILE --db ${visibleName(options.db)}\` writes its report.`,
      );
      return false;
    }
  }
  return true;
}
