import { describe, expect, it } from 'vitest';
import { PauseWatch } from '../../src/bench/pause-watch.js';
import { HandClocks } from './hand-clocks.js';

describe('PauseWatch', () => {
  it('tells the time since the last look', () => {
    const clocks = new HandClocks();
    const watch = new PauseWatch(clocks);
    clocks.run(20);
    expect(watch.look()).toBe(20);
    expect(watch.look()).toBe(0);
  });

  it('counts the sleep of the computer, in which only the clock since the boot goes on', () => {
    const clocks = new HandClocks();
    const watch = new PauseWatch(clocks);
    clocks.run(10);
    clocks.sleep(3_600_000);
    expect(watch.look()).toBe(3_600_010);
    clocks.run(10);
    expect(watch.look()).toBe(10);
  });

  it('goes by the computer: time that passes is told, within the 10 ms that its clocks show', async () => {
    const watch = new PauseWatch();
    const from_ms = performance.now();
    while (performance.now() < from_ms + 30);
    const told_ms = watch.look();
    expect(told_ms).toBeGreaterThanOrEqual(29);
    expect(told_ms).toBeLessThan(performance.now() - from_ms + 11);
  });
});
