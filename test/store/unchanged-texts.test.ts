import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile, thrownBy } from './scratch.js';

/** A database with one run, after `sql` was done to it by hand. */
function edited(sql: string): string {
  const file = scratchFile();
  const store = openRuns(file, { mode: 'create' });
  recordRun(store, inventedRun(), 'completed', '');
  store.close();
  const db = new Database(file);
  expect(db.prepare(sql).run().changes).toBeGreaterThan(0);
  db.close();
  return file;
}

function refusal(file: string): { code: string; message: string } {
  const store = openRuns(file, { mode: 'read' });
  try {
    return thrownBy(() => store.run(1));
  } finally {
    store.close();
  }
}

describe('a text in the database that was changed by hand', () => {
  it.each([
    ['the bench file', "UPDATE benches SET text = replace(text, ':', ': ')", /the bench file '.+' stored/],
    ['the sequence', "UPDATE sequences SET text = text || ' '", /the sequence '.+' stored/],
    [
      'a calibration record',
      "UPDATE calibration_records SET text = text || '#' WHERE id = (SELECT max(id) FROM calibration_records)",
      /the calibration record '.+' stored/,
    ],
    ['a hash', "UPDATE calibration_records SET sha256 = ''", /the calibration record '.+' stored/],
  ])('has the run refused, with the name of what it is: %s', (_, sql, words) => {
    const file = edited(sql);
    const { code, message } = refusal(file);
    expect(code).toBe('STORED_TEXT_CHANGED');
    expect(message).toMatch(words);
    expect(message).toContain(file);
    expect(message).toMatch(/with run 1 was changed in the database: its SHA-256 is not the one stored/);
    expect(message).not.toContain('\n');
  });

  it('leaves the run in the list of runs', () => {
    const store = openRuns(edited("UPDATE sequences SET text = ''"), { mode: 'read' });
    expect(store.runs().map(({ run }) => run)).toEqual([1]);
    store.close();
  });
});
