import { textTable } from '../../document/text/text-table.js';
import { EXIT } from '../../errors/ohmest-error.js';
import { visibleName } from '../../units/visible-text.js';
import type { Terminal } from '../terminal/terminal.js';
import { inStore } from './asked-runs.js';

/** `ohmest runs`: what is in the database, newest first. */
export async function runs(
  terminal: Terminal,
  options: { readonly db: string; readonly unit?: string; readonly json?: boolean },
): Promise<number> {
  const damaged: number[] = [];
  const altered = (run: number) => void damaged.push(run);
  const filter = { altered, ...(options.unit === undefined ? {} : { unit: options.unit }) };
  const found = await inStore(options.db, (store) => store.runs(filter));
  if (options.json) {
    terminal.out(JSON.stringify({ runs: found }, null, 2));
  } else if (found.length === 0) {
    terminal.out(
      `no runs in ${visibleName(options.db)}${options.unit === undefined ? '' : ` of ${visibleName(options.unit)}`}`,
    );
  } else {
    const anyImported = found.some(({ imported_from }) => imported_from !== null);
    const rows = found.map(({ run, started, unit, sequence, bench, outcome, points, imported_from }) => [
      String(run),
      started.slice(0, 16).replace('T', ' '),
      unit,
      sequence,
      bench,
      outcome,
      String(points),
      ...(anyImported ? [imported_from === null ? '' : `was run ${imported_from}`] : []),
    ]);
    const head = ['run', 'started (UTC)', 'unit', 'sequence', 'bench', 'outcome', 'points'];
    terminal.out(textTable([...head, ...(anyImported ? ['imported'] : [])], rows));
  }
  if (damaged.length === 0) return EXIT.done;
  terminal.err(
    `ohmest: left out, since they are damaged: ${damaged.map((run) => `run ${run}`).join(', ')}. Restore the database from a backup.`,
  );
  return EXIT.badInput;
}
