import { budgetText } from '../report/budget-text.js';
import { showDocument } from '../report/show-document.js';
import { textSummary } from '../report/text-summary.js';
import { claimGiven } from './given-claims.js';
import { readRuns } from './run-number.js';
import type { Terminal } from './terminal.js';

/** `ohmest show`: what a run found, with `--budget` what its uncertainty is made of, with `--remeasure` what its captures give today. */
export async function show(
  terminal: Terminal,
  run: string,
  options: {
    readonly db: string;
    readonly json?: boolean;
    readonly budget?: boolean;
    readonly remeasure?: boolean;
    readonly claim?: string;
  },
): Promise<number> {
  if (options.remeasure) return (await import('./remeasure.js')).remeasure(terminal, run, options);
  const claim = options.claim === undefined ? null : claimGiven(options.claim);
  const record = readRuns(options.db, [run])[0]!;
  const { width, colour } = terminal;
  if (options.json) terminal.out(JSON.stringify(showDocument(record, claim), null, 2));
  else
    terminal.out(
      (options.budget ? budgetText : textSummary)(record, {
        width,
        colour,
        ...(claim === null ? {} : { claim }),
      }),
    );
  return 0;
}
