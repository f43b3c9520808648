import { basename, dirname, join } from 'node:path';
import { DATED_NAME } from '../calibration/record-faults.js';
import type { FiledRecord } from '../calibration/record-file.js';
import type { Files } from './files.js';

/** Records that a name may mean. */
export interface Candidates {
  /** The folder that they lie in; null when no folder has any. */
  readonly folder: string | null;
  /** Names of the files without their ending. */
  readonly ids: readonly string[];
  /** Every folder that is looked into, the first that has any wins. */
  readonly folders: readonly string[];
}

/** Folders for calibration records, the bench's own before those that it shares with others. */
export function recordFolders(benchPath: string): string[] {
  const here = dirname(benchPath);
  const own = basename(benchPath).replace(/\.ya?ml$/i, '');
  return [here, join(here, '..')].flatMap((folder) => [
    join(folder, 'calibration', own),
    join(folder, 'calibration'),
  ]);
}

/**
 * The files that a record's name may mean: one of exactly that name, and those of its family, which have a date after
 * the name (and a number, when there are several of a day). A name with its date in it has no family, and pins one file.
 */
export function recordCandidates(files: Files, benchPath: string, name: string): Candidates {
  const folders = recordFolders(benchPath);
  for (const folder of folders) {
    const ids = files
      .list(folder)
      .filter((file) => file.endsWith('.yaml'))
      .map((file) => file.slice(0, -'.yaml'.length))
      .filter((id) => id === name || DATED_NAME.exec(id)?.[1] === name)
      .sort();
    if (ids.length > 0) return { folder, ids, folders };
  }
  return { folder: null, ids: [], folders };
}

/** Of several records of a family the one with the newest date; undated ones are the oldest; the number breaks ties. */
export function newest(family: readonly FiledRecord[]): FiledRecord {
  const number = ({ record }: FiledRecord) => {
    const dated = DATED_NAME.exec(record.id);
    return dated ? Number(dated[3] ?? 1) : 0;
  };
  return family.reduce((best, next) => {
    const [old, young] = [best.record.date ?? '', next.record.date ?? ''];
    return young > old || (young === old && number(next) > number(best)) ? next : best;
  });
}
