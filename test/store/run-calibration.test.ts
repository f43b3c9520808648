import { describe, expect, it } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRecord, inventedRun, recordRun } from './invented-run.js';
import { scratchFile } from './scratch.js';

describe('the calibration of a run', () => {
  it("is kept with the floor's record, text and hash, as with those of the channels", () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    const content = inventedRun();
    const floorRecord = inventedRecord('floor-2026-02-01', 'floor', 'kind: floor\nvalue: 0.0003 %\n');
    const run = recordRun(store, { ...content, bench: { ...content.bench, floorRecord } }, 'completed', '');
    const kept = store.run(run).calibration;
    expect(kept.at(-1)).toEqual({
      id: 'floor-2026-02-01',
      kind: 'floor',
      text: floorRecord.text,
      sha256: floorRecord.sha256,
    });
    expect(kept).toHaveLength(store.run(recordRun(store, content, 'completed', '')).calibration.length + 1);
    store.close();
  });
});
