import {
  chmodSync,
  copyFileSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors/ohmest-error.js';
import type { StoreMode } from '../../src/store/sqlite/locate.js';
import { MIGRATIONS, newestVersion } from '../../src/store/sqlite/migrations/migrate.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { asOrdinaryUser, scratchFile, scratchFolder, thrownBy } from './scratch.js';

const refusal = (path: string, mode: StoreMode) => {
  const error = thrownBy(() => openRuns(path, { mode }));
  expect(error).toBeInstanceOf(InputError);
  expect(error.explanation.where).toBe(path);
  return error;
};

function storedRun(): string {
  const file = scratchFile();
  const store = openRuns(file, { mode: 'create' });
  recordRun(store, inventedRun(), 'completed', '');
  store.close();
  return file;
}

const MODES = ['create', 'write', 'read'] as const;

describe('opening a store', () => {
  it.each(['write', 'read'] as const)('to %s says when there is no file', (mode) => {
    const file = scratchFile();
    expect(refusal(file, mode).code).toBe('STORE_MISSING');
    expect(readdirSync(dirname(file))).toEqual([]);
  });

  it.each(MODES)('to %s says which folder is missing', (mode) => {
    const folder = scratchFolder();
    const error = refusal(join(folder, 'no', 'runs.db'), mode);
    expect(error.code).toBe('STORE_FOLDER_MISSING');
    expect(error.message).toContain(join(folder, 'no'));
  });

  it.each(MODES)('to %s says when a file stands where the folder should be', (mode) => {
    const file = scratchFile();
    writeFileSync(file, '');
    expect(refusal(join(file, 'runs.db'), mode).code).toBe('STORE_FOLDER_MISSING');
  });

  it.each(MODES)('to %s says when the path is a folder', (mode) => {
    expect(refusal(scratchFolder(), mode).code).toBe('STORE_IS_FOLDER');
  });

  it.each(MODES)('to %s says when the path is a device', (mode) => {
    const error = refusal('/dev/null', mode);
    expect(error.code).toBe('STORE_NOT_A_DATABASE');
    expect(error.message).toContain('not a regular file');
  });

  it.each(MODES)('to %s leaves a file alone that is not SQLite', (mode) => {
    const file = scratchFile();
    writeFileSync(file, 'frequency,power\n'.repeat(500));
    expect(refusal(file, mode).code).toBe('STORE_NOT_A_DATABASE');
    expect(readFileSync(file, 'utf8')).toBe('frequency,power\n'.repeat(500));
    expect(readdirSync(dirname(file))).toEqual([basename(file)]);
  });

  it.each(['write', 'read'] as const)('to %s says when the file is empty', (mode) => {
    const file = scratchFile();
    writeFileSync(file, '');
    expect(refusal(file, mode).message).toContain('it is empty');
  });

  it('to create takes over an empty file, which is what a crash at its start leaves', () => {
    const file = scratchFile();
    writeFileSync(file, '');
    const store = openRuns(file, { mode: 'create' });
    expect(store.run(recordRun(store, inventedRun(), 'completed', '')).outcome).toBe('completed');
    store.close();
  });

  it.each(MODES)('to %s leaves the database of another program alone', (mode) => {
    const file = scratchFile();
    const foreign = new Database(file);
    foreign.exec('CREATE TABLE songs (title TEXT)');
    foreign.close();
    const before = readFileSync(file);
    expect(refusal(file, mode).code).toBe('STORE_FOREIGN');
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it.each(MODES)('to %s names both versions when the file is from a newer program', (mode) => {
    const file = storedRun();
    const newest = newestVersion(MIGRATIONS);
    const newer = new Database(file);
    newer.pragma(`user_version = ${newest + 7}`);
    newer.close();
    const before = readFileSync(file);
    const error = refusal(file, mode);
    expect(error.code).toBe('STORE_NEWER');
    expect(error.message).toContain(
      `schema version ${newest + 7}, and this ohmest knows versions up to ${newest}`,
    );
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it.each(MODES)('to %s says in one sentence that a path with a NUL in it cannot be opened', (mode) => {
    expect(thrownBy(() => openRuns('runs\0.db', { mode })).code).toBe('STORE_UNREACHABLE');
  });

  it('takes :memory: for the file name that it is', () => {
    const folder = scratchFolder();
    openRuns(join(folder, ':memory:'), { mode: 'create' }).close();
    expect(readdirSync(folder)).toEqual([':memory:']);
  });

  it.each(['create', 'write'] as const)('to %s says when the file or its folder is read-only', (mode) => {
    const file = storedRun();
    chmodSync(dirname(file), 0o777);
    chmodSync(file, 0o444);
    const fileRefused = asOrdinaryUser(() => refusal(file, mode));
    expect(fileRefused.code).toBe('STORE_READ_ONLY');
    expect(fileRefused.message).toContain('the file cannot be written');
    chmodSync(file, 0o666);
    chmodSync(dirname(file), 0o555);
    const folderRefused = asOrdinaryUser(() => refusal(file, mode));
    expect(folderRefused.code).toBe('STORE_READ_ONLY');
    expect(folderRefused.message).toContain('its folder cannot be written');
    chmodSync(dirname(file), 0o755);
  });

  it('to create says when a new file cannot be made in its folder', () => {
    const file = scratchFile();
    chmodSync(dirname(file), 0o555);
    expect(asOrdinaryUser(() => refusal(file, 'create')).code).toBe('STORE_READ_ONLY');
    chmodSync(dirname(file), 0o755);
  });

  it('to read says when the file may not be read', () => {
    const file = storedRun();
    chmodSync(dirname(file), 0o755);
    chmodSync(file, 0o000);
    expect(asOrdinaryUser(() => refusal(file, 'read')).code).toBe('STORE_UNREACHABLE');
  });

  it('reads a database in a folder that cannot be written, and leaves nothing there', () => {
    const original = storedRun();
    const folder = join(dirname(original), 'archive');
    mkdirSync(folder);
    const file = join(folder, 'old.db');
    copyFileSync(original, file);
    chmodSync(dirname(original), 0o755);
    chmodSync(file, 0o444);
    chmodSync(folder, 0o555);
    const points = asOrdinaryUser(() => {
      const store = openRuns(file, { mode: 'read' });
      const { length } = store.run(1).points;
      store.close();
      return length;
    });
    expect(points).toBe(3);
    expect(readdirSync(folder)).toEqual(['old.db']);
    chmodSync(folder, 0o755);
  });

  it('to read changes no byte and leaves no file', () => {
    const file = storedRun();
    const before = readFileSync(file);
    const store = openRuns(file, { mode: 'read' });
    expect(store.runs()).toHaveLength(1);
    expect(thrownBy(() => store.createRun(inventedRun())).message).toContain('cannot be written');
    store.close();
    expect(readFileSync(file).equals(before)).toBe(true);
    expect(readdirSync(dirname(file))).toEqual([basename(file)]);
  });

  it('follows a symbolic link to the one true place', () => {
    const file = storedRun();
    const link = join(scratchFolder(), 'link.db');
    symlinkSync(file, link);
    const store = openRuns(link, { mode: 'write' });
    expect(store.file).toBe(file);
    store.close();
  });
});
