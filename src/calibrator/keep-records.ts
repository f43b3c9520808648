import { existsSync, linkSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import type { DraftRecord } from '../calibration/draft-record.js';
import { recordFileName, recordText } from '../calibration/write-record.js';
import { InputError } from '../errors/ohmest-error.js';
import { syncFolder } from '../files/sync-folder.js';
import { writeThrough } from '../files/write-through.js';
import { NotKept } from './calibration-errors.js';

/**
 * Writes a record into a folder, under the name of its family with the date, and a number when one of that day is there
 * already. Never touches a file that exists. When this returns, the record is on disk; whatever else happens, no part of
 * one ever stands under a record's name, where it would spoil every bench that finds it.
 *
 * @returns path of the new file
 * @throws DocumentError when the draft says what no record may; NotKept
 */
export function keepRecord(folder: string, family: string, draft: DraftRecord): string {
  const text = recordText(draft);
  let path = join(folder, `${family}.yaml`);
  // No bench looks at a name without the ending of a record.
  const unfinished = join(folder, `.${family}-${process.pid}.unfinished`);
  try {
    writeThrough(unfinished, text);
    for (;;) {
      path = join(folder, recordFileName(family, draft.date, readdirSync(folder)));
      if (putInPlace(unfinished, path)) break;
    }
    syncFolder(folder);
  } catch (error) {
    throw error instanceof InputError ? error : new NotKept(path, error);
  } finally {
    tidyUp(unfinished);
  }
  return path;
}

/** Gives a finished file its name; false when somebody else has taken that name in the meantime. */
function putInPlace(unfinished: string, path: string): boolean {
  try {
    linkSync(unfinished, path);
    return true;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'EEXIST') return false;
    // Memory cards and some shares know no second name for a file.
    if (!['EPERM', 'ENOSYS', 'ENOTSUP', 'EOPNOTSUPP', 'EMLINK'].includes(code ?? '')) throw error;
    if (existsSync(path)) return false;
    renameSync(unfinished, path);
    return true;
  }
}

/** What went wrong before counts, not what goes wrong with this. */
function tidyUp(unfinished: string): void {
  try {
    rmSync(unfinished, { force: true });
  } catch {
    // It is a file that no bench looks at.
  }
}
