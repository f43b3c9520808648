import { textTable } from '../../document/text/text-table.js';
import { visibleName } from '../../units/visible-text.js';
import { inStore } from '../look/asked-runs.js';
import type { Terminal } from '../terminal/terminal.js';

/** `ohmest permits`: what has been signed, newest first. */
export async function permits(
  terminal: Terminal,
  options: { readonly db: string; readonly json?: boolean },
): Promise<number> {
  const filed = await inStore(options.db, (store) => store.permits());
  if (options.json) {
    const list = filed.map(({ permit, run }) => ({ ...permit, run }));
    terminal.out(JSON.stringify({ permits: list }, null, 2));
  } else if (filed.length === 0) {
    terminal.out(`no permits in ${visibleName(options.db)}`);
  } else {
    const now = new Date();
    const minute = (moment: string) => moment.slice(0, 16).replace('T', ' ');
    const rows = filed.map(({ permit, run }) => [
      permit.id,
      permit.sequence,
      permit.bench,
      permit.by,
      minute(permit.signed),
      minute(permit.expires),
      run === null ? (now < new Date(permit.expires) ? 'open' : 'expired') : `used by run ${run}`,
    ]);
    const head = ['permit', 'sequence', 'bench', 'signed by', 'at (UTC)', 'until (UTC)', ''];
    terminal.out(textTable(head, rows));
  }
  return 0;
}
