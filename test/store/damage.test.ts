import { readFileSync, writeFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile, thrownBy } from './scratch.js';

/** Marsaglia's xorshift32 (J. Stat. Softw. 8(14), 2003): enough to scatter damage the same way every time. */
function scatter(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) % below;
  };
}

function soundFile(): { file: string; bytes: Buffer } {
  const file = scratchFile();
  const store = openRuns(file, { mode: 'create' });
  recordRun(store, inventedRun('invented', 60), 'completed', '');
  store.close();
  return { file, bytes: readFileSync(file) };
}

function readAll(file: string): unknown {
  const store = openRuns(file, { mode: 'read' });
  try {
    return [store.runs(), store.run(1)];
  } finally {
    store.close();
  }
}

describe('a damaged database', () => {
  it.each([50, 99, 100, 4096, 20_000])('that was cut off after %i bytes is refused as damaged', (length) => {
    const { file, bytes } = soundFile();
    writeFileSync(file, bytes.subarray(0, length));
    expect(thrownBy(() => openRuns(file, { mode: 'write' })).code).toBe('STORE_CORRUPT');
    expect(thrownBy(() => readAll(file)).code).toBe('STORE_CORRUPT');
    expect(readFileSync(file).length).toBe(length);
  });

  it('that lost a table is called damaged', () => {
    const { file } = soundFile();
    const db = new Database(file);
    db.pragma('foreign_keys = OFF');
    db.exec('DROP VIEW reading_sheet; DROP TABLE harmonics;');
    db.close();
    expect(thrownBy(() => readAll(file)).code).toBe('STORE_CORRUPT');
  });

  it('whose schema spells every column otherwise is read all the same: no name of it comes through', () => {
    const { file } = soundFile();
    const recorded = readAll(file);
    const db = new Database(file);
    db.unsafeMode(true);
    db.pragma('writable_schema = ON');
    const tables = db
      .prepare<[], { name: string; sql: string }>(
        "SELECT name, sql FROM sqlite_schema WHERE type = 'table' AND sql IS NOT NULL",
      )
      .all();
    const change = db.prepare('UPDATE sqlite_schema SET sql = ? WHERE name = ?');
    for (const { name, sql } of tables)
      change.run(
        sql.replace(/^ {2}("?)([a-z])/gm, (_, quote, letter) => `  ${quote}${letter.toUpperCase()}`),
        name,
      );
    db.close();
    const other = new Database(file);
    expect(
      other
        .prepare('SELECT * FROM points')
        .columns()
        .map(({ name }) => name),
    ).toContain('Level_dB');
    other.close();
    expect(readAll(file)).toEqual(recorded);
  });

  it('whose spectrum is cut inside a number is called damaged', () => {
    const { file } = soundFile();
    const db = new Database(file);
    const cut = db.prepare('UPDATE spectra SET level_dB = substr(level_dB, 1, length(level_dB) - 3)').run();
    db.close();
    expect(cut.changes).toBeGreaterThan(0);
    expect(thrownBy(() => readAll(file)).code).toBe('STORE_CORRUPT');
  });

  it('is refused for writing wherever a page was overwritten', () => {
    const { file, bytes } = soundFile();
    const random = scatter(7);
    const pages = bytes.length / 4096;
    for (let trial = 0; trial < 30; trial += 1) {
      const spoilt = Buffer.from(bytes);
      const page = 1 + random(pages - 1);
      for (let index = 0; index < 4096; index += 1) spoilt[page * 4096 + index] = random(256);
      writeFileSync(file, spoilt);
      const { code, message } = thrownBy(() => openRuns(file, { mode: 'write' }));
      expect(code).toBe('STORE_CORRUPT');
      expect(message).not.toContain('\n');
    }
  });

  it('is read as it was recorded or refused with one clear error, never a crash, when a few bytes were changed', () => {
    const { file, bytes } = soundFile();
    const recorded = readAll(file);
    const random = scatter(11);
    let refused = 0;
    for (let trial = 0; trial < 120; trial += 1) {
      const spoilt = Buffer.from(bytes);
      const at = 100 + random(bytes.length - 164);
      for (let index = 0; index < 64; index += 1) spoilt[at + index] = random(256);
      writeFileSync(file, spoilt);
      try {
        expect(readAll(file)).toEqual(recorded);
      } catch (error) {
        refused += 1;
        expect([
          'STORE_CORRUPT',
          'RUN_ALTERED',
          'RUN_NOT_FOUND',
          'STORE_FOREIGN',
          'STORED_TEXT_CHANGED',
        ]).toContain((error as { code: string }).code);
      }
    }
    expect(refused).toBeGreaterThan(15);
  });
});
