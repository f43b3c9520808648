import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { identityOfRun } from '../../src/bundle/seal.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile, scratchFolder, thrownBy } from './scratch.js';

/** A database with one run that has ended, and one whose program died. */
function recorded(): string {
  const file = scratchFile();
  const store = openRuns(file, { mode: 'create' });
  recordRun(store, inventedRun('ended', 2), 'completed', '');
  const { points, readings, ...start } = inventedRun('broken off', 2);
  const writer = store.createRun({ ...start });
  for (const point of points)
    writer.append({ kind: 'point', point, readings: readings.filter((one) => one.point === point.number) });
  writer.abandon();
  store.close();
  return file;
}

function changed(sql: string): string {
  const file = recorded();
  const db = new Database(file);
  db.pragma('foreign_keys = OFF');
  expect(db.prepare(sql).run().changes).toBeGreaterThan(0);
  db.close();
  return file;
}

function read<T>(file: string, look: (store: ReturnType<typeof openRuns>) => T): T {
  const store = openRuns(file, { mode: 'read' });
  try {
    return look(store);
  } finally {
    store.close();
  }
}

describe('the identity of a run', () => {
  it('is made of what was recorded, also of a run that was never ended', () => {
    const file = recorded();
    for (const run of [1, 2])
      read(file, (store) => expect(store.run(run).identity).toBe(identityOfRun(store.content(run))));
    const db = new Database(file, { readonly: true });
    const kept = db.prepare('SELECT identity FROM seals ORDER BY run').pluck().all();
    db.close();
    expect(kept).toEqual([read(file, (store) => store.run(1).identity), null]);
  });

  it.each([
    ['a figure', 'UPDATE readings SET power_W = power_W + 1e-9 WHERE run = 1'],
    ['a level', 'UPDATE points SET level_dB = level_dB + 1 WHERE run = 1'],
    ['a point', 'DELETE FROM readings WHERE run = 1 AND point = 2'],
    ['an event', "UPDATE events SET text = text || '!' WHERE run = 1"],
    ['an answer', "UPDATE checklist_answers SET answer = answer || '!' WHERE run = 1"],
    ['a finding', 'UPDATE findings SET value = value * 2 WHERE run = 1 AND value IS NOT NULL'],
    ['the end', "UPDATE runs SET outcome = 'stopped' WHERE id = 1"],
    ['the label', "UPDATE units SET label = 'Ended' WHERE label = 'ended'"],
    ['the sums', "UPDATE seals SET points = replace(points, 'a', 'b') WHERE run = 1"],
    ['the identity', "UPDATE seals SET identity = replace(identity, 'a', 'b') WHERE run = 1"],
    ['the row of its sums', 'DELETE FROM seals WHERE run = 1'],
  ])('no longer fits when this is changed, and the run is refused: %s', (_, sql) => {
    const file = changed(sql);
    const { code, message } = thrownBy(() => read(file, (store) => store.run(1)));
    expect(code).toBe('RUN_ALTERED');
    expect(message).toMatch(/run 1 is damaged: the SHA-256 stored with it does not match /);
    expect(thrownBy(() => read(file, (store) => store.content(1))).code).toBe('RUN_ALTERED');
    expect(read(file, (store) => store.run(2).unit.label)).toBe('broken off');
  });

  it('covers what is left out only where it is read', () => {
    const file = changed('UPDATE harmonics SET rms = rms * 2');
    expect(read(file, (store) => store.run(1, { harmonics: false }).points)).toHaveLength(2);
    expect(thrownBy(() => read(file, (store) => store.run(1))).code).toBe('RUN_ALTERED');
  });

  it('is proven before a run is resumed', () => {
    const file = changed('UPDATE readings SET power_W = power_W * 2 WHERE run = 2');
    const store = openRuns(file, { mode: 'write' });
    const resume = () => store.resumeRun(2, { at_s: 9, first_point: 3, checklist: [] });
    expect(thrownBy(resume).code).toBe('RUN_ALTERED');
    store.close();
    expect(thrownBy(() => read(file, (other) => other.run(2))).code).toBe('RUN_ALTERED');
  });

  it('stays the same when the unit gets another label in all its sums', () => {
    const file = recorded();
    const before = read(file, (store) => store.content(1));
    const renamed = { ...before, record: { ...before.record, unit: { label: 'another' } } };
    expect(identityOfRun(renamed)).toBe(before.record.identity);
  });

  it.each([
    ['the summary of a run', "UPDATE runs SET reason = 'none' WHERE id = 1"],
    ['a run that is gone', 'DELETE FROM runs WHERE id = 2'],
    ['a point that is gone', 'DELETE FROM points WHERE run = 1 AND number = 2'],
  ])('is proven for a list of runs: %s', (_, sql) => {
    const file = changed(sql);
    expect(thrownBy(() => read(file, (store) => store.runs())).code).toBe('RUN_ALTERED');
    expect(thrownBy(() => read(file, (store) => store.names())).code).toBe('RUN_ALTERED');
    expect(thrownBy(() => read(file, (store) => store.search({}, { limit: 1, offset: 0 }))).code).toBe(
      'RUN_ALTERED',
    );
    const altered: number[] = [];
    const sound = read(file, (store) => store.runs({ altered: (run) => void altered.push(run) }));
    expect([...altered, ...sound.map(({ run }) => run)].sort()).toEqual([1, 2]);
    expect(altered).toHaveLength(1);
  });

  it.each([
    ['never', [], 0],
    ['twice', ['2026-03-01T12:00:00.000Z', '2026-03-01T11:00:00.000Z'], Date.parse('2026-03-01T12:00:00Z')],
    ['at a time that cannot be read', ['2026-03-01T12:00:00.000Z', '?'], Number.POSITIVE_INFINITY],
  ])('that does not fit any more is told with its last resumption: %s', (_, started, resumed_ms) => {
    const file = changed("UPDATE runs SET reason = 'none' WHERE id = 1");
    const db = new Database(file);
    for (const [i, when] of started.entries())
      db.prepare(
        "INSERT INTO sessions (run, number, started, at_s, first_point, before) VALUES (1, ?, ?, 0, 1, '')",
      ).run(i + 2, when);
    db.close();
    const altered: number[][] = [];
    read(file, (store) => store.runs({ altered: (...told) => void altered.push(told) }));
    expect(altered).toEqual([[1, resumed_ms]]);
  });
});

describe('a database whose version is not what was written', () => {
  it.each([0, -1, 1, 5])('is called damaged at version %i', (version) => {
    const file = recorded();
    const copy = join(scratchFolder(), 'copy.db');
    copyFileSync(file, copy);
    const db = new Database(copy);
    db.pragma(`user_version = ${version}`);
    db.close();
    for (const mode of ['read', 'write'] as const)
      expect(thrownBy(() => openRuns(copy, { mode })).code).toBe('STORE_CORRUPT');
  });
});
