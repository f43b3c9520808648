import { showDocument } from '../report/show-document.js';
import { textSummary } from '../report/text-summary.js';
import { readRuns } from './run-number.js';
import type { Terminal } from './terminal.js';

/** `ohmest show`: what a run found. */
export async function show(
  terminal: Terminal,
  run: string,
  options: { readonly db: string; readonly json?: boolean },
): Promise<number> {
  const record = readRuns(options.db, [run])[0]!;
  terminal.out(
    options.json
      ? JSON.stringify(showDocument(record), null, 2)
      : textSummary(record, { width: terminal.width, colour: terminal.colour }),
  );
  return 0;
}
