import { existsSync, rmSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import type { Database } from 'better-sqlite3';
import { namesIn } from '../../files/names-in.js';
import { type JournalledRun, readJournal } from '../journal/run-journal.js';
import { type DatabaseConnection, openConnection } from './connect.js';
import { insertHead, insertSessions } from './insert-head.js';
import { insertPermit } from './permits.js';
import { isAlive } from './run-lock.js';
import { RunRows } from './run-rows.js';
import { sealHead } from './seal-row.js';

/** Where the journal of a run lies. */
export const journalPath = (file: string, run: number): string => `${file}.run-${run}.journal`;

/**
 * Where the copy of a database goes that was taken away or spoilt while `run` was recorded. A run that is resumed may
 * need a second one, and so may one of the same number in a later database: the first stays as it is.
 */
export function rescuedPath(file: string, run: number): string {
  const first = `${file}.rescued-run-${run}`;
  let path = first;
  for (let n = 2; existsSync(path); n += 1) path = `${first}-${n}`;
  return path;
}

/** Makes a database of a journal, under the number that the run had. Throws SQLite's error; then there is none. */
export function rebuild({ head, parts, end }: JournalledRun, path: string): void {
  try {
    const { db } = openConnection(path, 'create');
    try {
      db.transaction(() => {
        for (const permit of head.permits) insertPermit(db, permit);
        const run = insertHead(db, head.record, head.record.run);
        insertSessions(db, run, head.record.sessions);
        sealHead(db, run);
        const rows = new RunRows(db, run);
        for (const part of parts) rows.add(part);
        if (end) rows.end(end.outcome, end.reason, end.ended);
      })();
      // One file, as somebody would copy it.
      db.pragma('journal_mode = DELETE');
    } finally {
      db.close();
    }
  } catch (error) {
    rmSync(path, { force: true });
    throw error;
  }
}

/** A run that was made anew from its journal. */
export interface Rebuilt {
  readonly run: number;
  readonly path: string;
}

/**
 * Sees to the journals that killed programs have left beside a database: one whose run is whole in the database is removed, any other
 * is made a database of its own.
 *
 * @param connection null when what lies there cannot be opened
 */
export function seeToJournals(file: string, connection: DatabaseConnection | null): Rebuilt[] {
  const rebuilt: Rebuilt[] = [];
  for (const run of leftJournals(file)) {
    const journal = readJournal(journalPath(file, run));
    if (journal && !(connection && holds(connection.db, run, journal))) {
      const path = rescuedPath(file, run);
      rebuild(journal, path);
      rebuilt.push({ run, path });
    }
    rmSync(journalPath(file, run), { force: true });
  }
  return rebuilt;
}

/** Runs whose journals nobody writes any more. */
function leftJournals(file: string): number[] {
  const prefix = `${basename(file)}.run-`;
  return namesIn(dirname(file))
    .filter((name) => name.startsWith(prefix) && name.endsWith('.journal'))
    .map((name) => Number(name.slice(prefix.length, -'.journal'.length)))
    .filter((run) => Number.isSafeInteger(run))
    .filter((run) => !isAlive(file, run));
}

/** Tables by the kind of part that they keep. */
const TABLES = {
  point: 'points',
  capture: 'captures',
  finding: 'findings',
  event: 'events',
  sample: 'probe_samples',
} as const;

/** Whether a database holds all of a run that its journal does. */
function holds(db: Database, run: number, { head, parts }: JournalledRun): boolean {
  const { started, version } = head.record;
  const same = db.prepare('SELECT 1 FROM runs WHERE id = ? AND started = ? AND version = ?');
  if (same.get(run, started, version) === undefined) return false;
  return Object.entries(TABLES).every(([kind, table]) => {
    const kept = db.prepare(`SELECT count(*) FROM "${table}" WHERE run = ?`).pluck().get(run) as number;
    return kept >= parts.filter((part) => part.kind === kind).length;
  });
}
