import { describe, expect, it } from 'vitest';
import { usedRecords } from '../../src/calibration/used-records.js';
import { requireSameBench } from '../../src/cli/run/bench-of-run.js';
import { twinBench } from '../runner/twin-bench.js';

const { setup } = twinBench('stiff-pair');
const twin = setup.interface.kind === 'simulated' ? setup.interface.twinSha256! : '';

const begunWith = (...twins: readonly string[]) => ({
  run: 7,
  bench: setup,
  calibration: usedRecords(setup),
  events: twins.map((sha256) => ({ at_s: 0, kind: 'twin' as const, sha256 })),
});

describe('a run on a simulated bench that is taken up', () => {
  it('goes on with the twin that it was begun with', () => {
    expect(twin).toMatch(/^[0-9a-f]{64}$/);
    expect(() => requireSameBench(begunWith(twin), setup)).not.toThrow();
  });

  it('does not go on with a twin whose file has changed since', () => {
    expect(() => requireSameBench(begunWith('a'.repeat(64)), setup)).toThrow(
      `the twin file has changed (SHA-256 aaaaaaaaaaaa then, ${twin.slice(0, 12)} now)`,
    );
  });

  it('goes on when it was begun before that was kept', () => {
    expect(() => requireSameBench(begunWith(), setup)).not.toThrow();
  });
});
