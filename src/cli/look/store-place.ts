import { existsSync } from 'node:fs';
import type { RunStore } from '../../store/contract/run-store.js';
import { requireStorePlace } from '../../store/sqlite/require-store-place.js';
import { openStore } from '../../store/sqlite/sqlite-store.js';

/**
 * A database that is there is opened, or refused, before anything is asked. One that is not is made only when there is
 * a run to record, so that a refused checklist leaves no empty file behind.
 */
export async function storePlace(
  db: string,
): Promise<{ store(): Promise<RunStore>; close(): Promise<void>; discard(): Promise<void> }> {
  const made = !existsSync(db);
  let store = made ? null : await openStore(db, { mode: 'create' });
  if (!store) requireStorePlace(db);
  return {
    store: async () => {
      store ??= await openStore(db, { mode: 'create' });
      return store;
    },
    close: async () => store?.close(),
    /** Closes it, and takes away a database that was made here and holds nothing. */
    discard: async () => (made ? store?.discard() : store?.close()),
  };
}
