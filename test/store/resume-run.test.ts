import { existsSync } from 'node:fs';
import { afterEach, describe, expect, it } from 'vitest';
import type { Permit } from '../../src/record/run-record.js';
import { openRuns, type SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedPoint, inventedReading, inventedRun, recordRun } from './invented-run.js';
import { startPointProgram } from './programs/start-program.js';
import { scratchFile, thrownBy } from './scratch.js';

const open: SqliteRuns[] = [];
afterEach(() => {
  for (const store of open.splice(0)) store.close();
});

function opened(file = scratchFile()): SqliteRuns {
  let seconds = 0;
  const now = () => {
    seconds += 1;
    return new Date(Date.UTC(2031, 2, 4, 10, 0, seconds));
  };
  const store = openRuns(file, { mode: 'create', now });
  open.push(store);
  return store;
}

const answer = { item: 'Is it still so?', answer: 'yes', by: 'A Person', at: '2031-03-05T09:00:00.000Z' };
const resumption = { at_s: 12.5, first_point: 4, checklist: [answer] };

describe('taking up a run that has ended early', () => {
  it('keeps what it has, tells of the session, and takes the outcome of the last one', () => {
    const store = opened();
    const run = recordRun(store, inventedRun('a unit', 3), 'fault', 'the device vanished');
    const before = store.run(run);
    const writer = store.resumeRun(run, resumption);
    expect(store.run(run)).toMatchObject({ outcome: 'running', reason: '', ended: null });
    const point = inventedPoint(4);
    writer.append({ kind: 'point', point: point, readings: [inventedReading(point, 1)] });
    writer.finish({ outcome: 'completed', reason: 'all of it' });
    const after = store.run(run);
    expect(after).toMatchObject({ outcome: 'completed', reason: 'all of it', started: before.started });
    expect(after.points).toEqual([...before.points, point]);
    expect(after.readings).toEqual([...before.readings, inventedReading(point, 1)]);
    expect(after.findings).toEqual(before.findings);
    expect(after.checklist).toEqual([...before.checklist, answer]);
    expect(after.sessions).toEqual([
      {
        number: 2,
        started: '2031-03-04T10:00:03.000Z',
        at_s: 12.5,
        first_point: 4,
        before: 'fault: the device vanished',
        permit: null,
      },
    ]);
  });

  it('counts its sessions, also when one of them came to nothing', () => {
    const store = opened();
    const run = recordRun(store, inventedRun('a unit', 3), 'interrupted', 'by hand');
    store.resumeRun(run, resumption).finish({ outcome: 'tripped', reason: 'DC' });
    store.resumeRun(run, resumption).abandon();
    store.resumeRun(run, resumption).finish({ outcome: 'stopped', reason: 'refused' });
    expect(store.run(run).sessions.map(({ number, before }) => [number, before])).toEqual([
      [2, 'interrupted: by hand'],
      [3, 'tripped: DC'],
      [4, 'interrupted: the program ended without closing the run'],
    ]);
  });

  it('remembers how its records had settled, where that was known', () => {
    const store = opened();
    const writer = store.createRun(inventedRun('a unit', 0));
    const [first, second] = [inventedPoint(1), inventedPoint(2)];
    const settling = { settled: true, level: 1e-4, residue: 0.02 };
    writer.append({
      kind: 'point',
      point: first,
      readings: [inventedReading(first, 1), inventedReading(first, 2)],
      settlings: [settling, null],
    });
    writer.append({
      kind: 'point',
      point: second,
      readings: [{ ...inventedReading(second, 1), flags: ['not-settled'] }],
      settlings: [settling],
    });
    expect(store.settlings(writer.run, 'climb-1k')).toEqual([
      { point: 1, channel: 1, settling },
      { point: 2, channel: 1, settling: { ...settling, settled: false } },
    ]);
    expect(store.settlings(writer.run, 'another-step')).toEqual([]);
    writer.finish({ outcome: 'completed', reason: '' });
  });
});

describe('a run that may not be taken up', () => {
  it('is one that is complete, and it stays as it is', () => {
    const store = opened();
    const run = recordRun(store, inventedRun(), 'completed', 'done');
    const before = store.run(run);
    expect(thrownBy(() => store.resumeRun(run, resumption)).code).toBe('RUN_COMPLETE');
    expect(store.run(run)).toEqual(before);
    expect(existsSync(`${store.file}.run-${run}.lock`)).toBe(false);
  });

  it('is one that is not there', () => {
    expect(thrownBy(() => opened().resumeRun(7, resumption)).code).toBe('RUN_NOT_FOUND');
  });

  it('is one that this program or another is recording', { timeout: 30_000 }, async () => {
    const file = scratchFile();
    const store = opened(file);
    const own = store.createRun(inventedRun());
    expect(thrownBy(() => store.resumeRun(own.run, resumption)).code).toBe('RUN_BUSY');
    own.finish({ outcome: 'fault', reason: 'gone' });
    const resumed = store.resumeRun(own.run, resumption);
    expect(thrownBy(() => store.resumeRun(own.run, resumption)).code).toBe('RUN_BUSY');
    resumed.finish({ outcome: 'completed', reason: '' });

    const program = await startPointProgram(file, 'another');
    await program.reached(1);
    expect(thrownBy(() => store.resumeRun(program.run, resumption)).code).toBe('RUN_BUSY');
    await program.kill();
    const { length } = store.run(program.run).points;
    store
      .resumeRun(program.run, { ...resumption, first_point: length + 1 })
      .finish({ outcome: 'completed', reason: '' });
    expect(store.run(program.run).points).toHaveLength(length);
  });
});

describe('a permit for a session', () => {
  const permit = (id: string): Permit => ({
    id,
    sequence: 'an invented sequence',
    sequence_sha256: '5'.repeat(64),
    bench: 'an invented bench',
    bench_fingerprint: 'b'.repeat(64),
    claim: null,
    by: 'invented person',
    signed: `2031-03-04T10:00:0${id.length}.000Z`,
    expires: '2031-03-04T22:00:00.000Z',
    worst: {},
    checklist: [],
  });

  it('is named with the session, counts as used by the run, and serves once', () => {
    const store = opened();
    store.sign(permit('p'));
    store.sign(permit('qq'));
    const run = recordRun(store, { ...inventedRun(), permit: 'p' }, 'fault', 'gone');
    store.resumeRun(run, { ...resumption, permit: 'qq' }).finish({ outcome: 'fault', reason: 'gone again' });
    expect(store.run(run).permit?.id).toBe('p');
    expect(store.run(run).sessions[0]?.permit).toBe('qq');
    expect(store.permits().map(({ permit: { id }, run: by }) => [id, by])).toEqual([
      ['qq', run],
      ['p', run],
    ]);
    expect(() => store.resumeRun(run, { ...resumption, permit: 'qq' })).toThrow(
      expect.objectContaining({ code: 'PERMIT_SPENT' }),
    );
    expect(store.run(run)).toMatchObject({ outcome: 'fault', reason: 'gone again' });
  });
});
