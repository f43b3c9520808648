import { existsSync } from 'node:fs';
import { requireStorePlace } from '../../store/sqlite/require-store-place.js';
import { openStore, type Store } from '../../store/sqlite/store.js';

/**
 * A database that is there is opened, or refused, before anything is asked. One that is not is made only when there is
 * a run to record, so that a refused checklist leaves no empty file behind.
 */
export function storePlace(db: string): { store(): Store; close(): void; discard(): void } {
  const made = !existsSync(db);
  let store = existsSync(db) ? openStore(db, { mode: 'create' }) : null;
  if (!store) requireStorePlace(db);
  return {
    store: () => {
      store ??= openStore(db, { mode: 'create' });
      return store;
    },
    close: () => store?.close(),
    /** Closes it, and takes away a database that was made here and holds nothing. */
    discard: () => (made ? store?.discard() : store?.close()),
  };
}
