import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { toJson } from '../../src/record/exact-json.js';
import { openRuns, type SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from '../../test/store/invented-run.js';
import { requireInputError } from './refusal.js';
import { type Subject, Unsound } from './subject.js';

/** Two runs that have ended, one of them with a capture, and one whose program died. */
function fill(store: SqliteRuns): void {
  recordRun(store, inventedRun('First unit', 4), 'completed', '');
  recordRun(store, inventedRun('Second unit', 2), 'tripped', 'more than 2 V of DC');
  const content = inventedRun('First unit', 3);
  const writer = store.createRun(content);
  for (const point of content.points) {
    const readings = content.readings.filter((reading) => reading.point === point.number);
    const settlings = readings.map(() => ({ level: 1e-5, residue: 0.01 }));
    writer.append({ kind: 'point', point, readings, settlings });
  }
  writer.append({ kind: 'sample', sample: { at_s: 1, probe: 'heatsink', unit: '°C', value: 31.5 } });
  const capture = { rate_Hz: 48_000, frames: 4, channels: [1], bytes: new Uint8Array(60) };
  writer.append({ kind: 'capture', point: 1, ...capture });
  writer.abandon();
}

/** Small pages with little empty room, so that most changes hit something. */
function pack(file: string): void {
  const db = new Database(file);
  db.pragma('journal_mode = DELETE');
  db.pragma('page_size = 512');
  db.exec('VACUUM');
  db.close();
}

/** All that any command shows of a database. */
function shown(file: string): string {
  const store = openRuns(file, { mode: 'read' });
  try {
    const runs = store.runs();
    const numbers = runs.map(({ run }) => run);
    return toJson([
      runs,
      store.search({ text: 'unit' }, { limit: 10, offset: 0 }),
      store.names(),
      numbers.map((run) => store.content(run)),
      numbers.map((run) => store.run(run, { harmonics: false, spectra: false })),
    ]);
  } finally {
    store.close();
  }
}

/** The reader of databases, to which one bit of a closed file was changed. Whatever is shown must be what was recorded. */
export function databases(): Subject {
  const folder = mkdtempSync(join(tmpdir(), 'fuzz-database-'));
  process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
  const file = join(folder, 'runs.db');
  const store = openRuns(file, { mode: 'create' });
  fill(store);
  store.close();
  pack(file);
  const bytes = readFileSync(file);
  const sound = shown(file);
  return {
    name: 'database',
    // Any of its bits, as likely as any other.
    cases: fc.noBias(fc.nat(8 * bytes.length - 1)),
    read: (input) => {
      const bit = input as number;
      const changed = Buffer.from(bytes);
      changed[bit >> 3]! ^= 1 << (bit & 7);
      for (const beside of ['-wal', '-shm']) rmSync(`${file}${beside}`, { force: true });
      writeFileSync(file, changed);
      return shown(file);
    },
    checkValue: (value) => {
      if (value !== sound) throw new Unsound('a changed database was shown as if it were sound');
    },
    checkRefusal: (error) => requireInputError(error, ''),
  };
}
