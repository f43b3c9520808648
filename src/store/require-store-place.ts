import { closeSync, openSync, statSync, unlinkSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { WAIT_MS } from './connect.js';
import { explained } from './explain-failure.js';
import { StoreFolderMissing, StoreReadOnly } from './store-errors.js';

/**
 * Makes sure that a database can be made at `path`, where there is none, and leaves nothing behind. Another file is made
 * and removed to find out, since permission bits alone do not tell. Throws one InputError that says what is the matter.
 */
export function requireStorePlace(path: string): void {
  const file = resolve(path);
  const folder = dirname(file);
  explained({ file, wait_ms: WAIT_MS }, () => {
    if (!isFolder(folder)) throw new StoreFolderMissing(file, folder);
    const probe = `${file}.try-${process.pid}`;
    try {
      closeSync(openSync(probe, 'wx'));
    } catch (error) {
      const denied = ['EACCES', 'EPERM', 'EROFS'].includes((error as NodeJS.ErrnoException).code ?? '');
      throw denied ? new StoreReadOnly(file, `its folder ${folder}`, { cause: error }) : error;
    }
    unlinkSync(probe);
  });
}

function isFolder(path: string): boolean {
  try {
    return statSync(path).isDirectory();
  } catch {
    return false;
  }
}
