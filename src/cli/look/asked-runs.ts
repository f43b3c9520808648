import { asTold, inputError } from '../../errors/error-table.js';
import type { RunRecord } from '../../record/run-record.js';
import type { ReadParts, RunStore } from '../../store/contract/run-store.js';
import { openStore } from '../../store/sqlite/sqlite-store.js';

/** What stands where the number of a run should be is no number of a run. */
export const NotARunNumber = inputError('NOT_A_RUN_NUMBER', asTold);

/** Number of a run as typed. @throws NotARunNumber */
export function runNumber(typed: string): number {
  if (/^[1-9]\d{0,14}$/.test(typed)) return Number(typed);
  throw new NotARunNumber({ what: `'${typed}' is not the number of a run`, mend: 'ohmest runs lists them' });
}

/** Looks into a database file, which is closed again whatever happens. */
export async function inStore<T>(db: string, look: (store: RunStore) => Promise<T>): Promise<T> {
  const store = await openStore(db, { mode: 'read' });
  try {
    return await look(store);
  } finally {
    await store.close();
  }
}

/** Reads runs out of a database file, all of each unless `parts` leaves something out. */
export async function readRuns(
  db: string,
  typed: readonly string[],
  parts: ReadParts = {},
): Promise<RunRecord[]> {
  const numbers = typed.map(runNumber);
  return inStore(db, async (store) => {
    const records: RunRecord[] = [];
    for (const number of numbers) records.push(await store.run(number, parts));
    return records;
  });
}

/**
 * The claim that was brought along, loading what reads claims only when there is one.
 *
 * @throws InputError when it cannot be read
 */
export async function claimOf(given: string | undefined): Promise<string | null> {
  if (given === undefined) return null;
  const { claimGiven } = await import('../run/given-claims.js');
  return claimGiven(given);
}
