import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { openConnection } from '../../src/store/sqlite/connect.js';
import { MIGRATIONS, migrate, newestVersion } from '../../src/store/sqlite/migrations/migrate.js';
import type { Migration } from '../../src/store/sqlite/migrations/migration.js';
import { openRuns, SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile, thrownBy } from './scratch.js';

/** A file as the first release made it, with one run in it: written out by hand, never by our own code. */
const VERSION_1 = readFileSync(join(import.meta.dirname, 'version-1.sql'), 'utf8');

function oldFile(): string {
  const file = scratchFile();
  const db = new Database(file);
  db.exec(VERSION_1);
  db.close();
  return file;
}

/** Migrations to come, numbered after the newest there is, so that adding one breaks no test. */
const NEWEST = newestVersion(MIGRATIONS);
/** Statements that leave what a file holds as it is. */
const ADDS = /^(?:$|(?:CREATE (?:TABLE|VIEW|INDEX|UNIQUE INDEX)|DROP VIEW|ALTER TABLE \w+ ADD COLUMN)\b)/;
const addSerial: Migration = {
  version: NEWEST + 1,
  sql: 'ALTER TABLE units ADD COLUMN invented_serial TEXT',
};
const addRoom: Migration = { version: NEWEST + 2, sql: 'ALTER TABLE runs ADD COLUMN invented_room TEXT' };
const broken: Migration = { version: NEWEST + 1, sql: `${addSerial.sql}; SELECT nonsense` };

const columns = (db: Database.Database, table: string): unknown[] =>
  db.prepare('SELECT name FROM pragma_table_info(?)').pluck().all(table);

const schema = (db: Database.Database): unknown[] =>
  db
    .prepare("SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY name")
    .all()
    .map((row) => JSON.stringify(row).replaceAll(/(\\n|\s)+/g, ' '));

describe('migrations', () => {
  it('are numbered from 1 without holes', () => {
    expect(MIGRATIONS.map(({ version }) => version)).toEqual(MIGRATIONS.map((_, index) => index + 1));
  });

  it('still make the schema that was released as version 1', () => {
    const [released, made] = [new Database(':memory:'), new Database(':memory:')];
    released.exec(VERSION_1);
    migrate(made, MIGRATIONS.slice(0, 1));
    expect(schema(made)).toEqual(schema(released));
    for (const pragma of ['application_id', 'user_version'])
      expect(made.pragma(pragma)).toEqual(released.pragma(pragma));
  });

  it.each(['create', 'write', 'read'] as const)('let a version 1 file be opened to %s', (mode) => {
    const store = openRuns(oldFile(), { mode });
    const record = store.run(1);
    expect(record).toMatchObject({ outcome: 'stopped', unit: { label: 'invented old unit' } });
    expect(record.readings).toMatchObject([
      { channel: 1, power_W: 12.5, thd_percent: null, flags: ['uncalibrated'] },
    ]);
    expect(record.readings[0]?.harmonics).toEqual([{ order: 2, frequency_Hz: 2000, rms: 0.001 }]);
    expect(record.readings[0]?.spectrum).toEqual({ frequency_Hz: [1], level_dB: [-2] });
    store.close();
  });

  it('that rewrite rows leave a run as it was recorded, or are undone', () => {
    const rewrites = (column: string): Migration => ({
      version: NEWEST + 1,
      sql: '',
      rows: { tables: [], reads: {}, drops: [], change: (db) => db.exec(`UPDATE readings SET ${column}`) },
    });
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    recordRun(store, inventedRun(), 'completed', '');
    store.close();
    const refused = thrownBy(() =>
      openConnection(file, 'write', 100, [...MIGRATIONS, rewrites('power_W = power_W * 2')]),
    );
    expect(refused.code).toBe('RUN_ALTERED');
    const { db } = openConnection(file, 'write', 100, [...MIGRATIONS, rewrites('power_W = power_W * 1')]);
    expect(db.pragma('user_version', { simple: true })).toBe(NEWEST + 1);
    db.close();
  });

  it('that are missing are applied in order, and what was there stays', () => {
    const { db } = openConnection(oldFile(), 'write', 100, [...MIGRATIONS, addSerial, addRoom]);
    expect(db.pragma('user_version', { simple: true })).toBe(NEWEST + 2);
    expect(columns(db, 'units')).toContain('invented_serial');
    expect(columns(db, 'runs')).toContain('invented_room');
    expect(db.prepare('SELECT label FROM units').pluck().all()).toEqual(['invented old unit']);
    db.close();
  });

  it('leave the file at the version before when one fails', () => {
    const file = oldFile();
    expect(thrownBy(() => openConnection(file, 'write', 100, [...MIGRATIONS, broken])).message).toContain(
      'nonsense',
    );
    const { db } = openConnection(file, 'write', 100);
    expect(db.pragma('user_version', { simple: true })).toBe(NEWEST);
    expect(columns(db, 'units')).toContain('label');
    expect(columns(db, 'units')).not.toContain('invented_serial');
    db.close();
  });

  it('that leave a row without its parent are undone', () => {
    const orphaning: Migration = { version: NEWEST + 1, sql: 'DELETE FROM units' };
    const { db } = openConnection(oldFile(), 'write', 100);
    expect(() => migrate(db, [...MIGRATIONS, orphaning])).toThrow('without their parent');
    expect(db.prepare('SELECT count(*) FROM units').pluck().get()).toBe(1);
    expect(db.pragma('foreign_keys', { simple: true })).toBe(1);
    db.close();
  });

  it('are seen, not done, when the file is only read: what a run holds is what it holds once they are done', () => {
    const file = oldFile();
    const before = readFileSync(file);
    const connection = openConnection(file, 'read', 100, [...MIGRATIONS, addSerial]);
    expect(columns(connection.db, 'units')).toContain('invented_serial');
    expect(connection.db.memory).toBe(false);
    const store = new SqliteRuns(connection);
    const seen = store.run(1);
    expect(store.runs()).toHaveLength(1);
    expect(() => connection.db.exec("UPDATE units SET label = 'changed'")).toThrow();
    store.close();
    expect(readFileSync(file).equals(before)).toBe(true);
    openRuns(file, { mode: 'create' }).close();
    const migrated = openRuns(file, { mode: 'read' });
    expect(migrated.run(1)).toStrictEqual(seen);
    migrated.close();
  });

  it('do no more to the schema than to add to it, so that an older file can be read as it is', () => {
    for (const { sql } of MIGRATIONS)
      for (const statement of sql
        .replace(/--.*$/gm, '')
        .split(';')
        .map((part) => part.trim()))
        expect(statement).toMatch(ADDS);
  });

  it('set each new file to the newest version, with keys enforced and every commit on the disk', () => {
    const { db } = openConnection(scratchFile(), 'create');
    const setting = (name: string) => db.pragma(name, { simple: true });
    expect(setting('user_version')).toBe(newestVersion(MIGRATIONS));
    expect(setting('journal_mode')).toBe('wal');
    expect(setting('foreign_keys')).toBe(1);
    expect(setting('synchronous')).toBe(2);
    db.close();
  });
});
