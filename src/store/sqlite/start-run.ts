import { statfsSync } from 'node:fs';
import { dirname } from 'node:path';
import { usedRecords } from '../../calibration/used-records.js';
import { unitLabel } from '../../record/unit-label.js';
import type { RunStart } from '../contract/run-store.js';
import { StoreMissing, StoreNoRoom, StoreReadOnly } from '../contract/store-errors.js';
import { CaptureFolder } from './capture-folder.js';
import { type DatabaseConnection, isInPlace } from './connect.js';
import { insertHead } from './insert-head.js';
import { RunLock } from './run-lock.js';
import { sealHead } from './seal-row.js';

/** A run that this process records. */
export interface StartedRun {
  readonly run: number;
  readonly lock: RunLock;
}

/** Free space below which no run begins. A run of 2000 points without captures takes about as much. */
const LEAST_FREE_BYTES = 16 * 2 ** 20;

/**
 * Writes the run's first row and takes its lock, which proves that the run can be recorded: there is
 * room, the file takes a commit, and the folder for captures is there. Throws an InputError or the error
 * of SQLite or the file system; then nothing of the run is left.
 */
export function startRun(connection: DatabaseConnection, start: RunStart, started: string): StartedRun {
  const { db } = connection;
  const { unit, bench, plan, version, checklist, claim = null, permit = null, keepsCaptures } = start;
  return lockedRun(connection, keepsCaptures, (lock) => {
    const run = insertHead(db, {
      unit: { label: unitLabel(unit.label) },
      bench,
      sequence: { name: plan.name, ...plan.sequence },
      calibration: usedRecords(bench),
      ...{ checklist, version, started, claim },
      ...{ ended: null, outcome: 'running', reason: '' },
      permit: permit === null ? null : { id: permit },
    });
    sealHead(db, run);
    // Before the commit: whoever sees the row must find the lock taken.
    lock(run);
    return run;
  });
}

/**
 * Has a run written to, for the first time or once more, having made sure that there is room to go on.
 *
 * @param write in one transaction; locks the run and gives its number
 */
export function lockedRun(
  connection: DatabaseConnection,
  keepsCaptures: boolean | undefined,
  write: (lock: (run: number) => void) => number,
): StartedRun {
  const { db, file } = connection;
  if (!isInPlace(connection)) throw new StoreMissing(file);
  requireRoom(file);
  if (keepsCaptures) requireCaptures(file);
  let lock: RunLock | undefined;
  const take = (run: number) => {
    lock = new RunLock(file, run);
  };
  try {
    const run = db.transaction(() => write(take)).immediate();
    return { run, lock: lock! };
  } catch (error) {
    lock?.release();
    throw error;
  }
}

/** @throws StoreNoRoom */
export function requireRoom(file: string): void {
  const { bavail, bsize } = statfsSync(dirname(file));
  const free = bavail * bsize;
  if (free >= LEAST_FREE_BYTES) return;
  const inMiB = (bytes: number) => `${(bytes / 2 ** 20).toFixed(1)} MiB`;
  throw new StoreNoRoom(file, `${inMiB(free)} free, at least ${inMiB(LEAST_FREE_BYTES)} needed`);
}

/** @throws StoreReadOnly */
export function requireCaptures(file: string): void {
  const folder = new CaptureFolder(file);
  try {
    folder.prepare();
  } catch (error) {
    throw new StoreReadOnly(file, `the folder for captures, ${folder.path},`, error);
  }
}
