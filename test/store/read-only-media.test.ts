import { chmodSync, copyFileSync, existsSync, readdirSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, it } from 'vitest';
import { openConnection } from '../../src/store/sqlite/connect.js';
import { openRuns, SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { asOrdinaryUser, scratchFile, scratchFolder, thrownBy } from './scratch.js';

/** A database whose last run stands in its log alone, in a folder that cannot be written. */
function burnt(): string {
  const file = scratchFile();
  const store = openRuns(file, { mode: 'create' });
  recordRun(store, inventedRun('in the log', 3), 'completed', '');
  const folder = scratchFolder();
  for (const part of ['', '-wal']) copyFileSync(`${file}${part}`, join(folder, `runs.db${part}`));
  store.close();
  expect(statSync(join(folder, 'runs.db-wal')).size).toBeGreaterThan(0);
  chmodSync(folder, 0o555);
  return join(folder, 'runs.db');
}

it('a database on read-only media is read with its log, and leaves nothing behind', () => {
  const file = burnt();
  const there = readdirSync(join(file, '..'));
  asOrdinaryUser(() => {
    const connection = openConnection(file, 'read');
    const copy = connection.db.name;
    expect(copy).not.toBe(file);
    const store = new SqliteRuns(connection);
    expect(store.file).toBe(file);
    expect(store.runs().map(({ unit }) => unit)).toEqual(['in the log']);
    expect(store.run(1).points).toHaveLength(3);
    expect(existsSync(dirname(copy))).toBe(true);
    store.close();
    expect(existsSync(dirname(copy))).toBe(false);
  });
  expect(readdirSync(join(file, '..'))).toEqual(there);
});

it('a database on read-only media is refused for writing in plain words', () => {
  const file = burnt();
  const { code, message } = asOrdinaryUser(() => thrownBy(() => openRuns(file, { mode: 'write' })));
  expect(code).toBe('STORE_READ_ONLY');
  expect(message).toContain('cannot be written');
});
