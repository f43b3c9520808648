import { closeSync, fsyncSync, openSync, readdirSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import type { DraftRecord } from '../calibration/draft-record.js';
import { recordFileName, recordText } from '../calibration/write-record.js';
import { NotKept } from './calibration-errors.js';

/**
 * Writes a record into a folder, under the name of its family with the date, and a number when one of that day is there
 * already. Never touches a file that exists. When this returns, the record is on disk.
 *
 * @returns path of the new file
 * @throws NotKept
 */
export function keepRecord(folder: string, family: string, draft: DraftRecord): string {
  let path = join(folder, `${family}.yaml`);
  try {
    path = join(folder, recordFileName(family, draft.date, readdirSync(folder)));
    const file = openSync(path, 'wx');
    try {
      writeSync(file, recordText(draft));
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
  } catch (error) {
    throw new NotKept(path, error);
  }
  return path;
}
