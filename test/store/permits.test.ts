import { afterEach, describe, expect, it } from 'vitest';
import type { Permit } from '../../src/record/run-record.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile } from './scratch.js';

const permit: Permit = {
  id: 'p-1',
  sequence: 'an invented sequence',
  sequence_sha256: '5'.repeat(64),
  bench: 'an invented bench',
  bench_fingerprint: 'b'.repeat(64),
  claim: null,
  by: 'invented person',
  signed: '2031-03-04T10:00:00.000Z',
  expires: '2031-03-04T22:00:00.000Z',
  worst: { power_W: 100 },
  checklist: [{ item: 'Is the fan on?', answer: 'yes' }],
};

describe('a permit', () => {
  const places: { close(): void }[] = [];
  afterEach(() => {
    for (const place of places.splice(0)) place.close();
  });

  it('comes back as it was signed, with the run that stands under it', () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    places.push(store);
    store.sign(permit);
    expect(store.permits()).toEqual([{ permit, run: null }]);
    const run = recordRun(
      store,
      { ...inventedRun(), claim: '100 W', permit: permit.id },
      'completed',
      'done',
    );
    expect(store.permits()).toEqual([{ permit, run }]);
    expect(store.run(run)).toMatchObject({ claim: '100 W', permit });
  });

  it('serves one run only', () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    places.push(store);
    store.sign(permit);
    const content = { ...inventedRun(), permit: permit.id };
    recordRun(store, content, 'completed', 'done');
    expect(() => recordRun(store, content, 'completed', 'done')).toThrow(
      expect.objectContaining({ code: 'PERMIT_SPENT', exitStatus: 2 }),
    );
    expect(store.runs()).toHaveLength(1);
  });
});
