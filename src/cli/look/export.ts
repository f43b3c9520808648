import { columnsCsv } from '../../document/csv/columns-csv.js';
import { csvExport } from '../../document/csv/csv-export.js';
import { resultsCsv } from '../../document/csv/results-csv.js';
import { jsonExport } from '../../document/json/show-document.js';
import { asTold, inputError } from '../../errors/error-table.js';
import type { Terminal } from '../terminal/terminal.js';
import { writeUserText } from '../terminal/write-output.js';
import { readRuns } from './asked-runs.js';

/** The asked format is none that ohmest writes. */
export const UnknownFormat = inputError('UNKNOWN_FORMAT', asTold);

const FORMATS = { csv: csvExport, json: jsonExport, 'results-csv': resultsCsv, columns: columnsCsv };

/** `ohmest export`: a run as CSV or JSON, into a file or on stdout. */
export async function exportRun(
  terminal: Terminal,
  run: string,
  options: { readonly db: string; readonly format: string; readonly output?: string },
): Promise<number> {
  if (!Object.hasOwn(FORMATS, options.format)) {
    throw new UnknownFormat({
      what: `'${options.format}' is not an export format`,
      mend: 'Choose csv (readings), results-csv (what was found), columns (what the columns of both mean) or json (all of it)',
    });
  }
  const text = FORMATS[options.format as keyof typeof FORMATS](
    (await readRuns(options.db, [run], { spectra: false }))[0]!,
  );
  if (options.output === undefined) terminal.out(text.trimEnd());
  else await writeUserText(options.output, text, options.format === 'json' ? 'json' : 'csv');
  return 0;
}
