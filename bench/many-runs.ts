import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { reseal } from '../test/store/reseal.js';

const CLI = fileURLToPath(new URL('../dist/cli/main.js', import.meta.url));

/** How many there are in a database that was made large. */
export interface ManyRuns {
  readonly runs: number;
  readonly readings: number;
}

const SPECTRA_RUNS = 60;

/**
 * Fills a database: one run is really recorded, then its rows are multiplied until there are so many runs of
 * so many readings in all. Every copy is whole: points, readings, harmonics, findings, events, calibration. Spectra,
 * five sixths of the bytes, only come with the last `SPECTRA_RUNS`: a run is read by itself.
 */
export function fillDatabase(file: string, wanted: ManyRuns): ManyRuns {
  const args = ['run', 'rated-power', '--bench', 'stiff-pair', '--unit', 'invented', '--db', file];
  const { status, stderr } = spawnSync(process.execPath, [CLI, ...args], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`the first run ended with ${status}: ${stderr}`);
  const db = new Database(file);
  try {
    db.pragma('synchronous = OFF');
    db.pragma('foreign_keys = OFF');
    const copies = copier(db, Math.ceil(wanted.readings / wanted.runs));
    db.transaction(() => {
      for (let run = 2; run <= wanted.runs; run += 1) copies.add(run, run > wanted.runs - SPECTRA_RUNS);
    })();
    const count = (table: string) => db.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get()!;
    return { runs: count('runs'), readings: count('readings') };
  } finally {
    db.close();
  }
}

/** Adds runs like run 1, each with at least so many readings: its points over and over, numbered on. */
function copier(db: Database.Database, readingsEach: number) {
  const columns = (table: string, changed: readonly string[]) =>
    db
      .prepare<[string], string>('SELECT name FROM pragma_table_info(?)')
      .pluck()
      .all(table)
      .filter((name) => !changed.includes(name))
      .map((name) => `"${name}"`)
      .join(', ');
  const own = db.prepare<[], number>('SELECT count(*) FROM readings WHERE run = 1').pluck().get()!;
  const points = db.prepare<[], number>('SELECT max(number) FROM points WHERE run = 1').pluck().get()!;
  const times = Math.ceil(readingsEach / own);
  const most = db.prepare<[], number>('SELECT max(id) FROM readings').pluck();
  const insert = (table: string, key: string, value: string, where: string) => {
    const rest = columns(table, key.split(', '));
    return db.prepare(
      `INSERT INTO ${table} (${key}, ${rest}) SELECT ${value}, ${rest} FROM ${table} WHERE ${where}`,
    );
  };
  const ofReading = 'reading IN (SELECT id FROM readings WHERE run = 1)';
  const each = {
    points: insert('points', 'run, number', '@run, number + @shift', 'run = 1'),
    readings: insert('readings', 'id, run, point', 'id + @more, @run, point + @shift', 'run = 1'),
    harmonics: insert('harmonics', 'reading', 'reading + @more', ofReading),
    spectra: insert('spectra', 'reading', 'reading + @more', ofReading),
  };
  const once = [
    insert('runs', 'id, permit', '@run, NULL', 'id = 1'),
    insert('findings', 'id, run', 'NULL, @run', 'run = 1'),
    insert('events', 'id, run', 'NULL, @run', 'run = 1'),
    insert('run_calibration', 'run', '@run', 'run = 1'),
  ];
  return {
    add(run: number, withSpectra: boolean): void {
      for (const statement of once) statement.run({ run });
      for (let time = 0; time < times; time += 1) {
        const shifted = { run, shift: time * points };
        const more = most.get()!;
        each.points.run(shifted);
        each.readings.run({ ...shifted, more });
        each.harmonics.run({ more });
        if (withSpectra) each.spectra.run({ more });
      }
      reseal(db, run);
    },
  };
}
