import { compareRuns } from '../../document/comparison/comparison.js';
import { comparisonDocument } from '../../document/comparison/comparison-document.js';
import { comparisonText } from '../../document/comparison/comparison-text.js';
import { asTold, inputError } from '../../errors/error-table.js';
import type { Terminal } from '../terminal/terminal.js';
import { claimOf, readRuns, runNumber } from './asked-runs.js';

/** Runs that were named cannot be compared with each other. */
export const NothingToCompare = inputError('NOTHING_TO_COMPARE', asTold);

/**
 * Makes sure that no run is named twice.
 *
 * @throws NothingToCompare
 */
export function requireDistinct(runs: readonly string[]): void {
  const numbers = runs.map(runNumber);
  const twice = numbers.find((number, i) => numbers.indexOf(number) !== i);
  if (twice !== undefined)
    throw new NothingToCompare({ what: `run ${twice} is named twice`, mend: 'Name each run once' });
}

/** `ohmest compare`: several runs side by side, each later one held against the first. */
export async function compare(
  terminal: Terminal,
  runs: readonly string[],
  options: { readonly db: string; readonly json?: boolean; readonly claim?: string },
): Promise<number> {
  if (runs.length < 2)
    throw new NothingToCompare({
      what: 'a comparison needs two runs or more',
      mend: `ohmest show ${runNumber(runs[0]!)} shows one by itself`,
    });
  requireDistinct(runs);
  const claim = await claimOf(options.claim);
  const comparison = compareRuns(
    await readRuns(options.db, runs, { harmonics: false, spectra: false }),
    claim,
  );
  const { width, colour } = terminal;
  terminal.out(
    options.json
      ? JSON.stringify(comparisonDocument(comparison), null, 2)
      : comparisonText(comparison, { width, colour }),
  );
  return 0;
}
