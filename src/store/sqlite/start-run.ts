import { statfsSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Database } from 'better-sqlite3';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { usedRecords } from '../../calibration/used-records.js';
import type { RunRecord } from '../../record/run-record.js';
import { unitLabel } from '../../record/unit-label.js';
import type { RunStart } from '../contract/run-store.js';
import { StoreMissing, StoreNoRoom, StoreReadOnly } from '../contract/store-errors.js';
import { CaptureFolder } from './capture-folder.js';
import { type DatabaseConnection, isInPlace } from './connect.js';
import { idOf, insertInto } from './insert-into.js';
import { RunLock } from './run-lock.js';
import { sealHead } from './seal-head.js';
import { SealRows } from './seal-row.js';

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
  const { db, file } = connection;
  if (!isInPlace(connection)) throw new StoreMissing(file);
  requireRoom(file);
  if (start.keepsCaptures) requireCaptures(file);
  let lock: RunLock | undefined;
  try {
    const run = db
      .transaction(() => {
        const id = insertRun(db, start, started);
        // Before the commit: whoever sees the row must find the lock taken.
        lock = new RunLock(file, id);
        return id;
      })
      .immediate();
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
    throw new StoreReadOnly(file, `the folder for captures, ${folder.path},`, { cause: error });
  }
}

function insertRun(db: Database, start: RunStart, started: string): number {
  const { bench, plan, version } = start;
  const { name, kind, rate_Hz, text, sha256 } = bench;
  const row = {
    unit: idOf(db, 'units', { label: unitLabel(start.unit.label) }),
    bench: idOf(db, 'benches', { name, kind, rate_Hz, text, sha256 }),
    sequence: idOf(db, 'sequences', { name: plan.name, ...pickContent(plan.sequence) }),
    version,
    started,
    claim: start.claim ?? null,
    permit: start.permit ?? null,
  };
  const columns = ['unit', 'bench', 'sequence', 'version', 'started', 'claim', 'permit'] as const;
  const inserted = insertInto(db, 'runs', columns).run(row);
  const run = Number(inserted.lastInsertRowid);
  insertCalibration(db, run, bench);
  insertChecklist(db, run, start.checklist);
  new SealRows(db).begin(run);
  sealHead(db, run);
  return run;
}

const pickContent = ({ text, sha256 }: { text: string; sha256: string }) => ({ text, sha256 });

/** Each record once, in the order of first use: two channels may share one. */
function insertCalibration(db: Database, run: number, bench: BenchSetup): void {
  const used = usedRecords(bench).map(({ id, kind, ...record }) =>
    idOf(db, 'calibration_records', { name: id, kind, ...pickContent(record) }),
  );
  const insert = insertInto(db, 'run_calibration', ['run', 'position', 'record']);
  [...new Set(used)].forEach((record, position) => {
    insert.run({ run, position, record });
  });
}

/** Adds answers after those that the run has. */
export function insertChecklist(db: Database, run: number, checklist: RunRecord['checklist']): void {
  const given = db.prepare<[number], number>('SELECT count(*) FROM checklist_answers WHERE run = ?').pluck();
  const before = given.get(run) as number;
  const insert = insertInto(db, 'checklist_answers', ['run', 'position', 'item', 'answer', 'by', 'at']);
  checklist.forEach(({ item, answer, by, at }, i) => {
    insert.run({ run, position: before + i, item, answer, by, at });
  });
}
