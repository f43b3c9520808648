import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openRuns, type SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile, thrownBy } from './scratch.js';

const ALL = { limit: 100, offset: 0 };
let store: SqliteRuns;
let day = 1;

beforeEach(() => {
  day = 1;
  store = openRuns(scratchFile(), {
    mode: 'create',
    now: () => new Date(Date.UTC(2026, 2, day, 12)),
  });
  const content = inventedRun();
  for (const [label, bench, outcome, reason] of [
    ['Left amplifier', 'upper bench', 'completed', ''],
    ['Right amplifier', 'upper bench', 'tripped', 'more than 2 V of DC'],
    ['Left amplifier', 'lower bench', 'completed', ''],
    ['100%_unit', 'lower bench', 'stopped', ''],
  ] as const) {
    recordRun(
      store,
      { ...content, unit: { label }, bench: { ...content.bench, name: bench } },
      outcome,
      reason,
    );
    day += 1;
  }
});

afterEach(() => store.close());

const found = (search: Parameters<SqliteRuns['search']>[0]) =>
  store.search(search, ALL).runs.map(({ run }) => run);

describe('searching runs', () => {
  it('finds by unit, bench, outcome and days, newest first', () => {
    expect(found({})).toEqual([4, 3, 2, 1]);
    expect(found({ unit: 'Left amplifier' })).toEqual([3, 1]);
    expect(found({ bench: 'upper bench' })).toEqual([2, 1]);
    expect(found({ outcome: 'completed' })).toEqual([3, 1]);
    expect(found({ from: '2026-03-02', to: '2026-03-03' })).toEqual([3, 2]);
    expect(found({ sequence: 'rated power', unit: 'Left amplifier', bench: 'lower bench' })).toEqual([3]);
    expect(found({ sequence: 'nothing of that name' })).toEqual([]);
  });

  it('finds words wherever they stand, in either case, and takes none as a pattern', () => {
    expect(found({ text: 'RIGHT' })).toEqual([2]);
    expect(found({ text: 'of dc' })).toEqual([2]);
    expect(found({ text: '100%_' })).toEqual([4]);
    expect(found({ text: '%' })).toEqual([4]);
    expect(found({ text: "'; DROP TABLE runs; --" })).toEqual([]);
  });

  it('counts all that match while handing out a page', () => {
    const page = store.search({ unit: 'Left amplifier' }, { limit: 1, offset: 1 });
    expect(page).toMatchObject({ total: 2, runs: [{ run: 1 }] });
    expect(store.search({}, { limit: 2, offset: 4 })).toMatchObject({ total: 4, runs: [] });
  });

  it('tells a run that goes on from one whose program died', () => {
    const writer = store.createRun(inventedRun('Going on'));
    expect(found({ outcome: 'running' })).toEqual([writer.run]);
    expect(found({ outcome: 'interrupted' })).toEqual([]);
    writer.abandon();
    expect(found({ outcome: 'running' })).toEqual([]);
    expect(store.search({ outcome: 'interrupted' }, ALL).runs).toMatchObject([
      { run: writer.run, outcome: 'interrupted' },
    ]);
  });

  it('names every unit, sequence and bench once', () => {
    expect(store.names()).toEqual({
      units: ['100%_unit', 'Left amplifier', 'Right amplifier'],
      sequences: ['rated power'],
      benches: ['lower bench', 'upper bench'],
    });
  });

  it('says which runs there are when one is asked for that is not', () => {
    expect(thrownBy(() => store.run(77)).message).toContain('77');
  });
});
