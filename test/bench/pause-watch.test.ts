import { describe, expect, it } from 'vitest';
import { PauseWatch, stoodStill } from '../../src/bench/pause-watch.js';
import { HandClocks } from './hand-clocks.js';

describe('PauseWatch', () => {
  it('tells the time since the last look', () => {
    const clocks = new HandClocks();
    const watch = new PauseWatch(clocks);
    clocks.run(20);
    expect(watch.look()).toEqual({ whole_ms: 20, slept_ms: 0 });
    expect(watch.look()).toEqual({ whole_ms: 0, slept_ms: 0 });
  });

  it('counts the sleep of the computer, in which only the clock since the boot goes on', () => {
    const clocks = new HandClocks();
    const watch = new PauseWatch(clocks);
    clocks.run(10);
    clocks.sleep(3_600_000);
    expect(watch.look()).toEqual({ whole_ms: 3_600_010, slept_ms: 3_600_000 });
    clocks.run(10);
    expect(watch.look()).toEqual({ whole_ms: 10, slept_ms: 0 });
  });

  it('goes by the computer: time that passes is told, within the 10 ms that its clocks show', async () => {
    const watch = new PauseWatch();
    const from_ms = performance.now();
    while (performance.now() < from_ms + 30);
    const told_ms = watch.look().whole_ms;
    expect(told_ms).toBeGreaterThanOrEqual(29);
    expect(told_ms).toBeLessThan(performance.now() - from_ms + 11);
  });

  it.each([
    [{ whole_ms: 1500, slept_ms: 0 }, false],
    [{ whole_ms: 2500, slept_ms: 0 }, true],
    [{ whole_ms: 150, slept_ms: 120 }, false],
    [{ whole_ms: 330, slept_ms: 300 }, true],
  ])('takes a pause for a busy computer or for a standstill: %o is %s', (pause, still) => {
    expect(stoodStill(pause)).toBe(still);
  });
});
