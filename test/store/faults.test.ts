import {
  chmodSync,
  copyFileSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { BenchFault, InputError } from '../../src/errors/ohmest-error.js';
import { StoreFault } from '../../src/store/contract/store-faults.js';
import { openConnection } from '../../src/store/sqlite/connect.js';
import { openRuns, SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedPoint, inventedReading, inventedRun, recordRun } from './invented-run.js';
import { asOrdinaryUser, scratchFile, thrownBy } from './scratch.js';

/** A store whose connection the test can reach, waiting `wait_ms` for locks. */
function reachableStore(file: string, wait_ms = 50) {
  const connection = openConnection(file, 'create', wait_ms);
  return { db: connection.db, store: new SqliteRuns(connection) };
}

const readingsOf = (number: number) =>
  [1, 2].map((channel) => inventedReading(inventedPoint(number), channel));

describe('a disk that fills during a run', () => {
  it('raises a StoreFault, keeps every finished point, and lets the run be closed', () => {
    const file = scratchFile();
    const { db, store } = reachableStore(file);
    const writer = store.createRun(inventedRun());
    db.pragma(`max_page_count = ${(db.pragma('page_count', { simple: true }) as number) + 6}`);
    let stored = 0;
    const fault = thrownBy(() => {
      for (let number = 1; number <= 1000; number += 1) {
        writer.append({ kind: 'point', point: inventedPoint(number), readings: readingsOf(number) });
        stored = number;
      }
    });
    expect(fault).toBeInstanceOf(StoreFault);
    expect(fault).toBeInstanceOf(BenchFault);
    expect(fault.code).toBe('STORE_FULL');
    expect(stored).toBeGreaterThan(5);
    expect(stored).toBeLessThan(1000);

    writer.finish({ outcome: 'fault', reason: fault.message });
    const record = store.run(writer.run);
    expect(record).toMatchObject({ outcome: 'fault', reason: fault.message });
    expect(record.points.map(({ number }) => number)).toEqual(
      Array.from({ length: stored }, (_, at) => at + 1),
    );
    expect(record.readings).toHaveLength(2 * stored);
    store.close();
  });

  it('shows the run as interrupted when not even its end can be written', () => {
    const { db, store } = reachableStore(scratchFile());
    const writer = store.createRun(inventedRun());
    db.pragma('query_only = ON');
    expect(thrownBy(() => writer.finish({ outcome: 'completed', reason: '' })).code).toBe(
      'STORE_WRITE_FAILED',
    );
    expect(store.run(writer.run).outcome).toBe('interrupted');
    store.close();
  });
});

describe('a database file taken away during a run', () => {
  const elsewhere = (file: string) => renameSync(file, `${file}.moved`);
  const copied = (file: string) => {
    copyFileSync(file, `${file}.copy`);
    renameSync(`${file}.copy`, file);
  };
  it.each([
    ['deleted', (file: string) => rmSync(file)],
    ['moved', elsewhere],
    ['replaced by another file', copied],
  ])('is a StoreFault when it was %s', (_, take) => {
    const file = scratchFile();
    const { store } = reachableStore(file);
    const writer = store.createRun(inventedRun());
    writer.append({ kind: 'point', point: inventedPoint(1), readings: readingsOf(1) });
    take(file);
    const fault = thrownBy(() =>
      writer.append({ kind: 'point', point: inventedPoint(2), readings: readingsOf(2) }),
    );
    expect(fault).toBeInstanceOf(StoreFault);
    expect(fault.code).toBe('STORE_GONE');
    store.close();
  });
});

describe('a database file taken away during a run, once the run has let go', () => {
  /** Records three points, takes the file away, and lets the run notice and end. */
  function taken(take: (file: string) => void) {
    const file = scratchFile();
    const { store } = reachableStore(file);
    const writer = store.createRun(inventedRun());
    for (const number of [1, 2, 3])
      writer.append({ kind: 'point', point: inventedPoint(number), readings: readingsOf(number) });
    take(file);
    const fault = thrownBy(() =>
      writer.append({ kind: 'point', point: inventedPoint(4), readings: readingsOf(4) }),
    );
    const last = thrownBy(() => writer.finish({ outcome: 'fault', reason: fault.message }));
    expect(last.code).toBe('STORE_GONE');
    store.close();
    return { file, fault, last, rescued: `${file}.rescued-run-${writer.run}` };
  }
  const committed = (file: string) => {
    const store = openRuns(file, { mode: 'write' });
    const { points, readings, outcome } = store.run(1);
    store.close();
    expect(outcome).toBe('interrupted');
    expect(points).toEqual([1, 2, 3].map((number) => inventedPoint(number)));
    expect(readings).toEqual([1, 2, 3].flatMap(readingsOf));
  };

  it('is whole wherever it was moved to', () => {
    const { file } = taken((own) => renameSync(own, `${own}.moved`));
    committed(`${file}.moved`);
  });

  it('lives on in a copy that the message names, even when it was deleted', () => {
    const { fault, last, rescued } = taken((file) => rmSync(file));
    // Before there is one, none is named.
    expect(fault.message).not.toContain(rescued);
    expect(last.message).toContain(`What was recorded is in ${rescued}`);
    committed(rescued);
  });

  it('is left as it is, with its log, where no copy can be made, and the message names none', () => {
    let bytes = Buffer.alloc(0);
    const { file, last } = taken((own) => {
      bytes = readFileSync(own);
      renameSync(dirname(own), `${dirname(own)}.moved`);
    });
    const moved = join(`${dirname(file)}.moved`, basename(file));
    expect(last.message).toContain('No copy could be made. Put the database back in its place');
    expect(last.message).not.toContain('rescued');
    expect(readFileSync(moved).equals(bytes)).toBe(true);
    committed(moved);
    rmSync(dirname(moved), { recursive: true });
  });

  it('is left as it is also where only its log was taken away, and nobody may make a copy', () => {
    const bytes: Buffer[] = [];
    asOrdinaryUser(() => {
      const folder = mkdtempSync(join(tmpdir(), 'ohmest-log-'));
      const file = join(folder, 'runs.db');
      const { store } = reachableStore(file);
      const writer = store.createRun(inventedRun());
      for (const number of [1, 2, 3])
        writer.append({ kind: 'point', point: inventedPoint(number), readings: readingsOf(number) });
      bytes.push(readFileSync(file));
      rmSync(`${file}-wal`);
      chmodSync(folder, 0o500);
      const last = thrownBy(() => writer.finish({ outcome: 'fault', reason: '' }));
      expect(last.message).toContain('No copy could be made');
      store.close();
      bytes.push(readFileSync(file));
      chmodSync(folder, 0o700);
      // Whoever opens what is there, in another program, makes the run anew from its journal.
      const later = scratchFile();
      for (const part of ['', '.run-1.journal']) copyFileSync(`${file}${part}`, `${later}${part}`);
      openRuns(later, { mode: 'write' }).close();
      committed(`${later}.rescued-run-1`);
      rmSync(folder, { recursive: true });
    });
    expect(bytes[1]!.equals(bytes[0]!)).toBe(true);
  });

  it('does no harm to the file that took its place', () => {
    const { file, rescued } = taken((own) => {
      const other = reachableStore(`${own}.other`).store;
      recordRun(other, inventedRun('Other unit'), 'completed', '');
      other.close();
      renameSync(`${own}.other`, own);
    });
    committed(rescued);
    const store = openRuns(file, { mode: 'write' });
    expect(store.runs().map(({ unit, outcome }) => [unit, outcome])).toEqual([['Other unit', 'completed']]);
    store.close();
  });
});

describe('a database file taken away before a run', () => {
  it('refuses the run', () => {
    const file = scratchFile();
    const { store } = reachableStore(file);
    rmSync(file);
    expect(thrownBy(() => store.createRun(inventedRun())).code).toBe('STORE_MISSING');
    store.close();
  });
});

describe('a full disk before a run', () => {
  it('refuses the run and leaves nothing of it', () => {
    const { db, store } = reachableStore(scratchFile());
    db.pragma(`max_page_count = ${db.pragma('page_count', { simple: true })}`);
    const long = inventedRun();
    const plan = { ...long.plan, sequence: { text: 'x'.repeat(100_000), sha256: 'invented' } };
    const refusal = thrownBy(() => store.createRun({ ...long, plan }));
    expect(refusal).toBeInstanceOf(InputError);
    expect(refusal.code).toBe('STORE_NO_ROOM');
    expect(store.runs()).toEqual([]);
    expect(db.prepare('SELECT count(*) FROM units').pluck().get()).toBe(0);
    store.close();
  });
});

describe('a database that another program holds', () => {
  it('is refused on opening, with the time waited', () => {
    const file = scratchFile();
    reachableStore(file).store.close();
    const holder = new Database(file);
    holder.exec('BEGIN EXCLUSIVE');
    const refusal = thrownBy(() => openConnection(file, 'write', 120));
    expect(refusal.code).toBe('STORE_LOCKED');
    expect(refusal.message).toContain('did not let go within 0.12 s');
    holder.close();
    openConnection(file, 'write', 120).db.close();
  });

  it('can be read all the same while it is written', () => {
    const file = scratchFile();
    const { store } = reachableStore(file);
    const writer = store.createRun(inventedRun());
    const holder = new Database(file);
    holder.exec('BEGIN EXCLUSIVE');
    const reader = new SqliteRuns(openConnection(file, 'read', 0));
    expect(reader.run(writer.run).outcome).toBe('running');
    reader.close();
    holder.close();
    store.close();
  });

  it('is refused for reading too when it is held in exclusive mode', () => {
    const file = scratchFile();
    reachableStore(file).store.close();
    const holder = new Database(file);
    holder.pragma('locking_mode = EXCLUSIVE');
    holder.exec('BEGIN EXCLUSIVE; COMMIT');
    expect(thrownBy(() => openConnection(file, 'read', 20)).code).toBe('STORE_LOCKED');
    holder.close();
  });

  it('refuses a run that would begin', () => {
    const file = scratchFile();
    const { store } = reachableStore(file);
    const holder = new Database(file);
    holder.exec('BEGIN EXCLUSIVE');
    expect(thrownBy(() => store.createRun(inventedRun())).code).toBe('STORE_LOCKED');
    holder.close();
    expect(store.runs()).toEqual([]);
    store.close();
  });

  it('is a StoreFault to a run under way, which can go on once the lock is gone', () => {
    const file = scratchFile();
    const { store } = reachableStore(file);
    const writer = store.createRun(inventedRun());
    const holder = new Database(file);
    holder.exec('BEGIN EXCLUSIVE');
    const fault = thrownBy(() =>
      writer.append({ kind: 'point', point: inventedPoint(1), readings: readingsOf(1) }),
    );
    expect(fault).toBeInstanceOf(StoreFault);
    expect(fault.code).toBe('STORE_HELD');
    holder.close();
    writer.append({ kind: 'point', point: inventedPoint(1), readings: readingsOf(1) });
    writer.finish({ outcome: 'completed', reason: '' });
    expect(store.run(writer.run).readings).toEqual(readingsOf(1));
    store.close();
  });
});

describe('a run writer', () => {
  it('stores all of a point or nothing of it', () => {
    const { store } = reachableStore(scratchFile());
    const writer = store.createRun(inventedRun());
    const [first, second] = readingsOf(1);
    const stray = { ...second!, point: 2 };
    expect(() =>
      writer.append({ kind: 'point', point: inventedPoint(1), readings: [first!, stray] }),
    ).toThrow('came with point 1');
    expect(() =>
      writer.append({ kind: 'point', point: inventedPoint(1), readings: [first!, first!] }),
    ).toThrow('UNIQUE');
    expect(store.run(writer.run)).toMatchObject({ points: [], readings: [] });
    store.close();
  });

  it('takes nothing after its end, and keeps the first outcome', () => {
    const { store } = reachableStore(scratchFile());
    const writer = store.createRun(inventedRun());
    writer.finish({ outcome: 'tripped', reason: 'DC at the load' });
    writer.finish({ outcome: 'completed', reason: '' });
    expect(() =>
      writer.append({ kind: 'event', event: { at_s: 1, kind: 'note', topic: 'test', text: 'late' } }),
    ).toThrow('is closed');
    expect(store.run(writer.run)).toMatchObject({ outcome: 'tripped', reason: 'DC at the load', events: [] });
    store.close();
  });

  it('shows its run as running to others until it is finished or its store is closed', () => {
    const file = scratchFile();
    const { store } = reachableStore(file);
    const other = reachableStore(file).store;
    const [finished, dropped] = [store.createRun(inventedRun()), store.createRun(inventedRun())];
    expect(other.runs().map(({ outcome }) => outcome)).toEqual(['running', 'running']);
    finished.finish({ outcome: 'completed', reason: '' });
    expect(other.runs().map(({ outcome }) => outcome)).toEqual(['running', 'completed']);
    store.close();
    expect(other.run(dropped.run).outcome).toBe('interrupted');
    other.close();
  });

  it('refuses a unit label that cannot be told from others, before anything is stored', () => {
    const { store } = reachableStore(scratchFile());
    expect(thrownBy(() => store.createRun(inventedRun('a\0b'))).code).toBe('UNIT_LABEL_INVALID');
    expect(store.runs()).toEqual([]);
    store.close();
  });
});

describe('captures', () => {
  const meta = { rate_Hz: 192_000, frames: 4, channels: [1] };

  function withCapture() {
    const file = scratchFile();
    const { store } = reachableStore(file);
    const writer = store.createRun({ ...inventedRun(), keepsCaptures: true });
    writer.append({ kind: 'point', point: inventedPoint(1), readings: readingsOf(1) });
    writer.append({ kind: 'capture', point: 1, bytes: Buffer.from('invented samples'), ...meta });
    const name = store.captures(writer.run)[0]!.file;
    return { file, store, writer, name, path: `${file}.captures/${name}` };
  }

  it('are named by the readings whose channel they hold, and come back as written', () => {
    const { store, writer, name } = withCapture();
    expect(store.run(writer.run).readings.map(({ capture }) => capture)).toEqual([name, null]);
    expect(Buffer.from(store.capture(writer.run, 1)).toString()).toBe('invented samples');
    expect(name).toMatch(/^run-1-point-0001-[0-9a-f]{8}\.wav$/);
    store.close();
  });

  it('are refused when their file has changed, is gone, or was never kept', () => {
    const { store, writer, path } = withCapture();
    writeFileSync(path, 'other samples');
    expect(thrownBy(() => store.capture(writer.run, 1)).code).toBe('CAPTURE_FILE_CHANGED');
    rmSync(path);
    expect(thrownBy(() => store.capture(writer.run, 1)).code).toBe('CAPTURE_MISSING');
    expect(thrownBy(() => store.capture(writer.run, 2)).message).toContain('no capture was kept of point 2');
    store.close();
  });

  it('are never read from outside their folder, whatever the database says', () => {
    const { file, store, writer } = withCapture();
    writeFileSync(`${file}.secret.wav`, 'secret');
    const stranger = new Database(file);
    stranger.prepare('UPDATE captures SET file = ?').run('../runs.db.secret.wav');
    stranger.close();
    expect(thrownBy(() => store.capture(writer.run, 1)).code).toBe('CAPTURE_MISSING');
    store.close();
  });

  it('raise a StoreFault when their folder cannot be written, and the points stay', () => {
    const { file, store, writer } = withCapture();
    rmSync(`${file}.captures`, { recursive: true });
    writeFileSync(`${file}.captures`, 'a file in the way');
    expect(
      thrownBy(() => writer.append({ kind: 'capture', point: 1, bytes: Buffer.from('x'), ...meta })),
    ).toBeInstanceOf(StoreFault);
    expect(store.run(writer.run).points).toHaveLength(1);
    store.close();
  });

  it('refuse a run that would keep them where their folder cannot be made', () => {
    const file = scratchFile();
    const { store } = reachableStore(file);
    writeFileSync(`${file}.captures`, 'a file in the way');
    const refusal = thrownBy(() => store.createRun({ ...inventedRun(), keepsCaptures: true }));
    expect(refusal.code).toBe('STORE_READ_ONLY');
    expect(refusal.message).toContain(`${file}.captures, cannot be written`);
    expect(store.runs()).toEqual([]);
    store.close();
  });
});
