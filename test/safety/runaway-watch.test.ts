import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Runaway, RunawayWatch } from '../../src/safety/runaway-watch.js';

function lookAt(shares: readonly number[]): { found: Runaway | null; window: number } {
  const watch = new RunawayWatch();
  for (const [window, share] of shares.entries()) {
    const found = watch.look(share);
    if (found) return { found, window };
  }
  return { found: null, window: shares.length };
}

const times = (count: number, share: number) => Array.from({ length: count }, () => share);

describe('RunawayWatch', () => {
  it('trips at the fourth window running with more than 30 % where there was 0.1 %', () => {
    // Half of a sine is gone: 43.5 % of its rms is no fundamental.
    const { found, window } = lookAt([...times(5, 0.001), ...times(4, 0.435)]);
    expect(window).toBe(8);
    expect(found).toEqual({ share: 0.435, limit: 0.3 });
  });

  it('asks for ten times what the same level gave: 4 % to 39 % is none, 4 % to 41 % is', () => {
    expect(lookAt([...times(5, 0.04), ...times(20, 0.39)]).found).toBeNull();
    expect(lookAt([...times(5, 0.04), ...times(20, 0.41)]).found).toEqual({ share: 0.41, limit: 0.4 });
  });

  it('lets 30 % itself pass, which is the limit', () => {
    expect(lookAt([...times(5, 0.001), ...times(20, 0.3)]).found).toBeNull();
  });

  it('lets three bad windows pass: lost samples look like that', () => {
    expect(
      lookAt([...times(9, 0.001), ...times(3, 0.9), ...times(9, 0.001), ...times(3, 0.9)]).found,
    ).toBeNull();
  });

  it('never trips on a level that was as bad from its start, whatever it does afterwards', () => {
    const share = fc.double({ min: 0.1, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.array(share, { maxLength: 60 }), (shares) => lookAt(shares).found === null),
      { seed: 20260301 },
    );
  });

  it('compares nothing with what was before a restart', () => {
    const watch = new RunawayWatch();
    for (const share of times(20, 0.001)) watch.look(share);
    watch.restart();
    for (const share of times(20, 0.8)) expect(watch.look(share)).toBeNull();
  });
});
