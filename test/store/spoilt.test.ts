import { execFileSync } from 'node:child_process';
import { chmodSync, existsSync, readFileSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { StoreFault } from '../../src/store/contract/store-faults.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedPoint, inventedReading, inventedRun, recordRun } from './invented-run.js';
import { asOrdinaryUser, scratchFile, thrownBy } from './scratch.js';

const readingsOf = (number: number) =>
  [1, 2].map((channel) => inventedReading(inventedPoint(number), channel));

/** In another process: who closes a file gives up all locks that his own process holds on it. */
const elsewhere = (code: string, ...args: string[]) =>
  void execFileSync(process.execPath, [
    '-e',
    `const fs = require('fs'), [, a, b] = process.argv; ${code}`,
    ...args,
  ]);

/** A database of some runs, all of them in the file itself. */
function filled(file: string, unit: string, runs: number): void {
  const store = openRuns(file, { mode: 'create' });
  for (let n = 0; n < runs; n += 1) recordRun(store, inventedRun(unit, 20), 'completed', '');
  store.close();
}

/** Records three points into a database that holds runs already, and has it harmed; the run then goes on until it notices. */
function harmedRun(harm: (file: string) => void) {
  const file = scratchFile();
  filled(file, 'Earlier unit', 3);
  const store = openRuns(file, { mode: 'write', wait_ms: 50 });
  const writer = store.createRun(inventedRun());
  for (const number of [1, 2, 3])
    writer.append({ kind: 'point', point: inventedPoint(number), readings: readingsOf(number) });
  harm(file);
  const fault = thrownBy(() => {
    writer.append({ kind: 'point', point: inventedPoint(4), readings: readingsOf(4) });
    writer.finish({ outcome: 'completed', reason: '' });
  });
  const again = thrownBy(() => writer.finish({ outcome: 'fault', reason: fault.message }));
  const found = readFileSync(file);
  store.close();
  return { file, fault, again, found, run: writer.run, rescued: `${file}.rescued-run-${writer.run}` };
}

function isKept(file: string, run: number): void {
  const store = openRuns(file, { mode: 'read' });
  const { points, readings, outcome, unit } = store.run(run);
  store.close();
  expect(unit.label).toBe(inventedRun().unit.label);
  expect(outcome).toBe('interrupted');
  expect(points).toEqual([1, 2, 3].map((number) => inventedPoint(number)));
  expect(readings).toEqual([1, 2, 3].flatMap(readingsOf));
}

const HARMS: readonly (readonly [string, (file: string) => void])[] = [
  [
    'written over by another of our databases',
    (file) => {
      filled(`${file}.other`, 'Other unit', 5);
      elsewhere('fs.copyFileSync(b, a)', file, `${file}.other`);
    },
  ],
  ['written over by a text', (file) => elsewhere("fs.writeFileSync(a, 'Dear Sir')", file)],
  ['cut off after a page', (file) => elsewhere('fs.truncateSync(a, 4096)', file)],
  ['emptied', (file) => elsewhere('fs.truncateSync(a, 0)', file)],
  [
    'spoilt in many pages',
    (file) =>
      elsewhere(
        "const f = fs.openSync(a, 'r+'); for (let at = 8192; at < fs.fstatSync(f).size; at += 4096) fs.writeSync(f, Buffer.alloc(64, 255), 0, 64, at)",
        file,
      ),
  ],
];

describe('A database that somebody writes to past SQLite while a run is recorded', () => {
  it.each(HARMS)('ends the run when it was %s, and what was committed lives on in a copy', (_, harm) => {
    const { file, fault, again, found, run, rescued } = harmedRun(harm);
    expect(fault).toBeInstanceOf(StoreFault);
    expect(fault.code).toBe('STORE_SPOILT');
    expect(again.code).toBe('STORE_SPOILT');
    expect(again.message).toContain(`What was recorded is in ${rescued}.`);
    isKept(rescued, run);
    // Not a byte is poured into what lies there now.
    expect(readFileSync(file)).toEqual(found);
  });

  it('leaves a copy that lies there from before as it is, and says where the next one is', () => {
    const { again, rescued, run } = harmedRun((own) => {
      elsewhere("fs.writeFileSync(a, 'an earlier copy')", `${own}.rescued-run-4`);
      elsewhere('fs.truncateSync(a, 0)', own);
      elsewhere('fs.truncateSync(a, 0)', `${own}-wal`);
    });
    expect(readFileSync(rescued, 'utf8')).toBe('an earlier copy');
    expect(again.message).toContain(`What was recorded is in ${rescued}-2.`);
    isKept(`${rescued}-2`, run);
  });

  it('keeps its earlier runs when only the -wal file was cut', () => {
    const { file, fault, run, rescued } = harmedRun((own) =>
      elsewhere('fs.truncateSync(a, 0)', `${own}-wal`),
    );
    expect(fault.code).toBe('STORE_SPOILT');
    isKept(rescued, run);
    const store = openRuns(file, { mode: 'read' });
    expect(store.runs().filter(({ unit }) => unit === 'Earlier unit')).toHaveLength(3);
    expect(store.run(1).readings.length).toBeGreaterThan(0);
    store.close();
  });

  it.each(['-wal', '-shm'])('is whole, and copied, when its %s file was deleted', (end) => {
    const { file, fault, run, rescued } = harmedRun((own) => elsewhere('fs.unlinkSync(a)', `${own}${end}`));
    expect(fault.code).toBe('STORE_GONE');
    isKept(rescued, run);
    isKept(file, run);
  });
});

describe('A run that is recorded', () => {
  it('goes on when another program commits, empties the log into the file, or looks on', () => {
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    const writer = store.createRun(inventedRun());
    for (let number = 1; number <= 6; number += 1) {
      writer.append({ kind: 'point', point: inventedPoint(number), readings: readingsOf(number) });
      const other = openRuns(file, { mode: 'write' });
      recordRun(other, inventedRun('Other unit', 5), 'completed', '');
      other.close();
      const plain = new Database(file);
      plain.pragma('wal_checkpoint(TRUNCATE)');
      plain.close();
    }
    writer.finish({ outcome: 'completed', reason: 'done' });
    expect(store.run(writer.run)).toMatchObject({ outcome: 'completed' });
    expect(store.run(writer.run).readings).toEqual([1, 2, 3, 4, 5, 6].flatMap(readingsOf));
    store.close();
    expect(existsSync(`${file}.rescued-run-${writer.run}`)).toBe(false);
  });

  it('goes on, and keeps its log, when its file may not be opened a second time', () => {
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    const writer = store.createRun(inventedRun());
    writer.append({ kind: 'point', point: inventedPoint(1), readings: readingsOf(1) });
    chmodSync(dirname(file), 0o755);
    // Changes the time of the file, so that it has to be looked at.
    chmodSync(file, 0o000);
    asOrdinaryUser(() => {
      expect(() => new Database(file)).toThrow();
      writer.append({ kind: 'point', point: inventedPoint(2), readings: readingsOf(2) });
    });
    expect(statSync(`${file}-wal`).size).toBeGreaterThan(0);
    chmodSync(file, 0o644);
    writer.finish({ outcome: 'completed', reason: '' });
    expect(store.run(writer.run).points).toHaveLength(2);
    store.close();
    expect(existsSync(`${file}.rescued-run-${writer.run}`)).toBe(false);
  });

  it('is found whole in a copy that was begun when it was gone on with', () => {
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    const first = store.createRun(inventedRun());
    first.append({ kind: 'point', point: inventedPoint(1), readings: readingsOf(1) });
    first.finish({ outcome: 'interrupted', reason: '' });
    const again = { at_s: 1, first_point: 2, checklist: [], permit: null, keepsCaptures: false };
    const writer = store.resumeRun(first.run, again);
    for (const number of [2, 3])
      writer.append({ kind: 'point', point: inventedPoint(number), readings: readingsOf(number) });
    elsewhere('fs.truncateSync(a, 0)', file);
    elsewhere('fs.truncateSync(a, 0)', `${file}-wal`);
    expect(thrownBy(() => writer.finish({ outcome: 'completed', reason: '' })).code).toBe('STORE_SPOILT');
    store.close();
    isKept(`${file}.rescued-run-${writer.run}`, writer.run);
  });
});
