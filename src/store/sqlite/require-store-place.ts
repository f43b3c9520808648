import { closeSync, existsSync, openSync, realpathSync, statSync, unlinkSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { StoreFolderMissing, StoreReadOnly } from '../contract/store-errors.js';
import { CaptureFolder } from './capture-folder.js';
import { WAIT_MS } from './connect.js';
import { explained } from './explain-failure.js';

/**
 * Makes sure that a database can be made at `path`, where there is none, and leaves nothing behind. Another file is made
 * and removed to find out, since permission bits alone do not tell. Throws one InputError that says what is the matter.
 */
export function requireStorePlace(path: string): void {
  const file = resolve(path);
  const folder = dirname(file);
  explained({ file, wait_ms: WAIT_MS }, () => {
    if (!isFolder(folder)) throw new StoreFolderMissing(file, folder);
    tryOut(`${file}.try-${process.pid}`, (error) => {
      const denied = ['EACCES', 'EPERM', 'EROFS'].includes((error as NodeJS.ErrnoException).code ?? '');
      return denied ? new StoreReadOnly(file, `its folder ${folder}`, error) : error;
    });
  });
}

/**
 * Makes sure that captures can be kept beside the database at `path`, which need not be there yet. Leaves nothing behind.
 *
 * @throws StoreReadOnly when something else is in the place of their folder, or nothing can be written into it
 */
export function requireCapturePlace(path: string): void {
  const file = existsSync(path) ? realpathSync(path) : resolve(path);
  const folder = new CaptureFolder(file).path;
  if (statSync(folder, { throwIfNoEntry: false }) === undefined) return;
  tryOut(
    join(folder, `try-${process.pid}`),
    (cause) => new StoreReadOnly(file, `the folder for captures, ${folder},`, cause),
  );
}

/** Makes a file and removes it. */
function tryOut(probe: string, failure: (cause: unknown) => unknown): void {
  try {
    closeSync(openSync(probe, 'wx'));
  } catch (error) {
    throw failure(error);
  }
  unlinkSync(probe);
}

function isFolder(path: string): boolean {
  try {
    return statSync(path).isDirectory();
  } catch {
    return false;
  }
}
