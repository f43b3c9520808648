import { describe, expect, it } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile, thrownBy } from './scratch.js';

const now = () => new Date('2026-03-01T10:00:00.000Z');
const HOSTILE = `Robert'); DROP TABLE runs; -- "quoted" 🔊`;

describe('the list of runs', () => {
  it('has the newest first and says what was measured on what', () => {
    const store = openRuns(scratchFile(), { mode: 'create', now });
    recordRun(store, inventedRun('left unit', 2), 'completed', '');
    recordRun(store, inventedRun('right unit', 0), 'fault', 'the device vanished');
    const common = {
      imported_from: null,
      started: '2026-03-01T10:00:00.000Z',
      ended: '2026-03-01T10:00:00.000Z',
      version: '0.1.0',
      bench: 'invented bench',
      bench_kind: 'simulated',
      sequence: 'rated power',
      sequence_sha256: inventedRun().plan.sequence.sha256,
    };
    expect(store.runs()).toStrictEqual([
      { run: 2, outcome: 'fault', reason: 'the device vanished', unit: 'right unit', points: 0, ...common },
      { run: 1, outcome: 'completed', reason: '', unit: 'left unit', points: 2, ...common },
    ]);
    store.close();
  });

  it('can be narrowed to one unit and to the newest', () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    for (const label of ['a', HOSTILE, 'a', HOSTILE])
      recordRun(store, inventedRun(label, 1), 'completed', '');
    expect(store.runs({ unit: HOSTILE }).map(({ run }) => run)).toEqual([4, 2]);
    expect(store.runs({ unit: 'a', limit: 1 }).map(({ run }) => run)).toEqual([3]);
    expect(store.runs({ unit: 'nobody' })).toEqual([]);
    expect(store.run(2).unit.label).toBe(HOSTILE);
    store.close();
  });
});

describe('asking for a run that is not there', () => {
  it('names the newest ones', () => {
    const store = openRuns(scratchFile(), { mode: 'create', now });
    for (let count = 0; count < 6; count += 1)
      recordRun(store, inventedRun(`unit ${count}`, 0), 'completed', '');
    const error = thrownBy(() => store.run(99));
    expect(error.code).toBe('RUN_NOT_FOUND');
    expect(error.explanation.what).toBe('there is no run 99');
    expect(error.explanation.mend).toMatch(
      /^The newest are 6 \(unit 5, 2026-03-01\), 5 .*, 2 \(unit 1, 2026-03-01\)$/,
    );
    store.close();
  });

  it.each([0, -1, 1.5, Number.NaN, 2 ** 60, Number.POSITIVE_INFINITY])('refuses run %d likewise', (id) => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    expect(thrownBy(() => store.run(id)).message).toContain('The database holds no runs yet');
    store.close();
  });
});
