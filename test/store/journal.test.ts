import {
  copyFileSync,
  existsSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { describe, expect, it } from 'vitest';
import { DIED } from '../../src/record/end-cause.js';
import { fromLine, toLine } from '../../src/store/journal/exact-line.js';
import { readJournal } from '../../src/store/journal/run-journal.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { openStore } from '../../src/store/sqlite/sqlite-store.js';
import { inventedPoint, inventedReading, inventedRun, recordRun } from './invented-run.js';
import { startPointProgram } from './programs/start-program.js';
import { scratchFile, thrownBy } from './scratch.js';

const journalOf = (file: string, run = 1) => `${file}.run-${run}.journal`;
const rescuedOf = (file: string, run = 1) => `${file}.rescued-run-${run}`;

/** A run of some points whose program was killed. */
async function killed(file: string): Promise<number> {
  const program = await startPointProgram(file, 'killed');
  await program.reached(12);
  return program.kill();
}

/** The run stands in a database of its own, and shows as what it is. */
function expectRebuilt(file: string, acknowledged: number): void {
  const store = openRuns(rescuedOf(file), { mode: 'read' });
  const { points, readings, outcome, reason, unit } = store.run(1);
  store.close();
  expect({ outcome, reason, unit: unit.label }).toEqual({
    outcome: 'interrupted',
    reason: DIED,
    unit: 'killed',
  });
  expect(points.length).toBeGreaterThanOrEqual(acknowledged);
  expect(points).toEqual(points.map((_, index) => inventedPoint(index + 1)));
  expect(readings).toEqual(points.flatMap((point) => [1, 2].map((one) => inventedReading(point, one))));
  expect(existsSync(journalOf(file))).toBe(false);
}

describe('the journal of a run', () => {
  it('is there while the run is recorded, holds all of it, and goes with its end', () => {
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    const content = inventedRun();
    const writer = store.createRun(content);
    for (const finding of content.findings) writer.append({ kind: 'finding', finding });
    for (const event of content.events) writer.append({ kind: 'event', event });
    const journal = readJournal(journalOf(file))!;
    expect(journal.head.record).toMatchObject({ run: 1, unit: content.unit, outcome: 'running' });
    expect(journal.parts).toEqual([
      ...content.findings.map((finding) => ({ kind: 'finding', finding })),
      ...content.events.map((event) => ({ kind: 'event', event })),
    ]);
    writer.finish({ outcome: 'completed', reason: '' });
    expect(existsSync(journalOf(file))).toBe(false);
    store.close();
    expect(readdirSync(dirname(file))).toEqual(['runs.db']);
  });

  it('begins with what the run has when it is resumed', () => {
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    const run = recordRun(store, inventedRun(), 'interrupted', 'Ctrl-C');
    const writer = store.resumeRun(run, { at_s: 9, first_point: 4, checklist: [] });
    const { head, parts } = readJournal(journalOf(file))!;
    expect(head.record.sessions).toMatchObject([{ number: 2, first_point: 4 }]);
    expect(parts.filter(({ kind }) => kind === 'point')).toHaveLength(3);
    writer.finish({ outcome: 'completed', reason: '' });
    store.close();
  });

  it('keeps every number as it is', () => {
    const odd = {
      a: -0,
      b: [Number.NaN, 1 / 3],
      c: Number.NEGATIVE_INFINITY,
      d: undefined,
      number: 3,
      e: 'ü\n',
    };
    const line = toLine(odd);
    expect(fromLine(line.slice(0, -1))).toStrictEqual({
      a: -0,
      b: [Number.NaN, 1 / 3],
      c: Number.NEGATIVE_INFINITY,
      number: 3,
      e: 'ü\n',
    });
    expect(line.endsWith('\n')).toBe(true);
  });

  it('is read up to the first line that is not whole', () => {
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    const writer = store.createRun(inventedRun());
    for (const number of [1, 2, 3])
      writer.append({ kind: 'point', point: inventedPoint(number), readings: [] });
    const text = readFileSync(journalOf(file), 'utf8');
    const other = `${file}.copy`;
    writeFileSync(other, text.slice(0, -5));
    expect(readJournal(other)?.parts).toHaveLength(2);
    writeFileSync(other, text.replace('"number":2', '"number":7'));
    expect(readJournal(other)?.parts).toHaveLength(1);
    writeFileSync(other, 'something else');
    expect(readJournal(other)).toBeNull();
    store.close();
  });
});

describe('a run whose program was killed', { timeout: 90_000 }, () => {
  it('leaves a journal that the next program removes when the database holds all of it', async () => {
    const file = scratchFile();
    await killed(file);
    expect(existsSync(journalOf(file))).toBe(true);
    openRuns(file, { mode: 'read' }).close();
    expect(existsSync(journalOf(file))).toBe(true);
    const store = await openStore(file, { mode: 'create' });
    expect(store.notices).toEqual([]);
    await store.close();
    expect(readdirSync(dirname(file))).toEqual(['runs.db']);
  });

  it('is made anew when its database was moved away', async () => {
    const file = scratchFile();
    const acknowledged = await killed(file);
    renameSync(file, `${file}.elsewhere`);
    for (const end of ['-wal', '-shm']) rmSync(`${file}${end}`, { force: true });
    const store = await openStore(file, { mode: 'create' });
    expect(store.notices).toEqual([
      expect.stringContaining(`it was made anew from its journal, in ${rescuedOf(file)}`),
    ]);
    await store.close();
    expectRebuilt(file, acknowledged);
  });

  it('is made anew when its database lost what was not yet in the file itself', async () => {
    const file = scratchFile();
    const acknowledged = await killed(file);
    for (const end of ['-wal', '-shm']) rmSync(`${file}${end}`);
    openRuns(file, { mode: 'write' }).close();
    expectRebuilt(file, acknowledged);
  });

  it('is made anew when its database was written over, by another one or by something else', async () => {
    const other = scratchFile();
    const store = openRuns(other, { mode: 'create' });
    recordRun(store, inventedRun('other'), 'completed', '');
    store.close();
    const file = scratchFile();
    const acknowledged = await killed(file);
    for (const end of ['-wal', '-shm']) rmSync(`${file}${end}`);
    copyFileSync(other, file);
    openRuns(file, { mode: 'write' }).close();
    expectRebuilt(file, acknowledged);

    const second = scratchFile();
    const points = await killed(second);
    for (const end of ['-wal', '-shm']) rmSync(`${second}${end}`);
    writeFileSync(second, 'minutes of a meeting');
    const error = thrownBy(() => openRuns(second, { mode: 'create' }));
    expect(error.code).toBe('STORE_RUNS_REBUILT');
    expect(error.message).toContain(`run 1 is in ${rescuedOf(second)}`);
    expectRebuilt(second, points);
  });
});
