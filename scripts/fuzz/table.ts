import type { Account } from './worker.js';

/** Most memory that a process may ever hold while it reads foreign input, megabytes. */
export const MOST_MEMORY_MB = 512;

/** Whether a reader kept all of its promises. */
export function held({ failure, memory_MB }: Account): boolean {
  return failure === null && memory_MB < MOST_MEMORY_MB;
}

/** The results as a table in Markdown. */
export function fuzzTable(accounts: readonly Account[]): string {
  const rows = accounts.map((account) => {
    const { name, cases, read, refused, slowest_s, mean_s, memory_MB, wall_s } = account;
    const cells = [
      name,
      String(cases),
      String(read),
      String(refused),
      slowest_s.toFixed(3),
      (mean_s * 1000).toFixed(2),
      memory_MB.toFixed(0),
      wall_s.toFixed(0),
      held(account) ? 'held' : 'BROKEN',
    ];
    return `| ${cells.join(' | ')} |`;
  });
  return [
    '| reader | cases | read | refused | slowest case, s | mean case, ms | most memory, MB | whole, s | promises |',
    '|---|---:|---:|---:|---:|---:|---:|---:|---|',
    ...rows,
  ].join('\n');
}
