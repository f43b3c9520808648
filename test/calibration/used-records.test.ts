import { describe, expect, it } from 'vitest';
import type { CalibrationRecord } from '../../src/calibration/chain.js';
import { overdueRecords, usedRecords } from '../../src/calibration/used-records.js';
import { plainChain } from './plain-chain.js';

const record = (id: string, due: string | null = null): CalibrationRecord => ({
  id,
  kind: 'load',
  date: null,
  due,
  text: id,
  sha256: id,
});

describe('the records of a bench', () => {
  const [a, b, floor] = [record('a', '2026-03-01'), record('b', '2026-02-28'), record('floor', '2026-02-01')];
  const bench = {
    channels: [plainChain(1, { records: [b, a] }), plainChain(2, { records: [a] })],
    floorRecord: floor,
    day: '2026-03-01',
  };

  it('are listed once each, that of the floor among them', () => {
    expect(usedRecords(bench).map(({ id }) => id)).toEqual(['b', 'a', 'floor']);
    expect(usedRecords({ channels: [], floorRecord: null })).toEqual([]);
  });

  it('are listed twice when two texts have one name', () => {
    const other = { ...a, sha256: 'other' };
    expect(usedRecords({ channels: [plainChain(1, { records: [a, other] })] })).toEqual([a, other]);
  });

  it('are overdue from the day after the last on which they hold', () => {
    expect(overdueRecords(bench).map(({ id }) => id)).toEqual(['b', 'floor']);
    expect(overdueRecords({ ...bench, day: '2026-03-02' }).map(({ id }) => id)).toEqual(['b', 'a', 'floor']);
  });
});
