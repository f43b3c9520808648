import fs from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';
import { afterEach, expect, it, vi } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun } from './invented-run.js';
import { scratchFile, thrownBy } from './scratch.js';

afterEach(() => {
  vi.restoreAllMocks();
  syncBuiltinESMExports();
});

/** Changed in place, so that it works for a module that another file of tests has loaded already. */
const leave = (bytes: number): void => {
  vi.spyOn(fs, 'statfsSync').mockReturnValue({ bavail: bytes / 4096, bsize: 4096 } as never);
  syncBuiltinESMExports();
};

it('a run begins with 16 MiB of free space and not with less', () => {
  const store = openRuns(scratchFile(), { mode: 'create' });
  leave(15.5 * 2 ** 20);
  const refusal = thrownBy(() => store.createRun(inventedRun()));
  expect(refusal.code).toBe('STORE_NO_ROOM');
  expect(refusal.message).toContain('15.5 MiB free, at least 16.0 MiB needed');
  expect(store.runs()).toEqual([]);
  leave(16 * 2 ** 20);
  expect(store.createRun(inventedRun()).run).toBe(1);
  store.close();
});
