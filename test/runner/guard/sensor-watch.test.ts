import { describe, expect, it } from 'vitest';
import type { Sensor, SensorSetup } from '../../../src/bench/sensor.js';
import { SensorWatch } from '../../../src/runner/guard/sensor-watch.js';

const setupOf = (changes: Partial<SensorSetup> = {}): SensorSetup => ({
  name: 'sink',
  unit: 'degC',
  every_s: 10,
  timeout_s: 5,
  high: 85,
  low: 0,
  needed: true,
  source: { kind: 'program', argv: ['x'] },
  ...changes,
});

/** A watch over one probe, and a clock that the test moves. */
function watching(read: Sensor['read'], changes: Partial<SensorSetup> = {}, virtual = false) {
  const clock = { time_s: 100, trips: 0 };
  const watch = new SensorWatch(
    [{ setup: setupOf(changes), read }],
    { now_s: () => clock.time_s, at_s: () => clock.time_s - 100, virtual },
    () => {
      clock.trips += 1;
    },
  );
  return { watch, clock };
}

/** Lets promises that are settled be heard. */
const settled = () => new Promise((resolve) => setImmediate(resolve));

describe('ProbeWatch', () => {
  it('samples at once and then as often as it is said, with the time of the run', () => {
    let value = 40;
    const { watch, clock } = watching(() => value++);
    for (clock.time_s = 100; clock.time_s <= 125; clock.time_s += 1) watch.poll();
    expect(watch.take().samples).toEqual([
      { at_s: 0, probe: 'sink', unit: 'degC', value: 40 },
      { at_s: 10, probe: 'sink', unit: 'degC', value: 41 },
      { at_s: 20, probe: 'sink', unit: 'degC', value: 42 },
    ]);
    expect(watch.take().samples).toEqual([]);
    expect(watch.latest()).toEqual([{ name: 'sink', unit: 'degC', value: 42 }]);
  });

  it.each([
    [85.01, 'sensor sink: 85.01 °C, more than the 85 °C that the bench file allows'],
    [-0.5, 'sensor sink: -0.5 °C, less than the 0 °C that the bench file allows'],
  ])('trips at %d, naming value and limit', (value, text) => {
    const { watch, clock } = watching(() => value);
    watch.poll();
    expect([watch.trip, clock.trips]).toEqual([text, 1]);
  });

  it('lets the limits themselves pass, and any value where there are none', () => {
    for (const value of [0, 85]) {
      const { watch } = watching(() => value);
      watch.poll();
      expect(watch.trip).toBeNull();
    }
    const { watch } = watching(() => 1e9, { high: null, low: null });
    watch.poll();
    expect(watch.trip).toBeNull();
  });

  it('trips when a needed probe has failed three times running, with the reason of the last', () => {
    let calls = 0;
    const { watch, clock } = watching(() => {
      calls += 1;
      throw new Error(`no answer ${calls}`);
    });
    for (; clock.time_s < 119; clock.time_s += 1) watch.poll();
    expect(watch.trip).toBeNull();
    for (; clock.time_s < 121; clock.time_s += 1) watch.poll();
    expect(watch.trip).toBe(
      'sensor sink has given no value 3 times in a row, one every 10 s (limit 3): no answer 3',
    );
    const { samples, notes } = watch.take();
    expect(samples.map(({ value }) => value)).toEqual([null, null, null]);
    expect(notes).toEqual(['sensor sink gave no value: no answer 1']);
  });

  it('begins to count anew after a value, and only notes once where the probe is not needed', () => {
    let calls = 0;
    const shaky: Sensor['read'] = () => {
      calls += 1;
      if (calls % 3 === 0) return 20;
      throw new Error('no answer');
    };
    const { watch, clock } = watching(shaky);
    for (; clock.time_s < 400; clock.time_s += 10) watch.poll();
    expect(watch.trip).toBeNull();
    const dead = watching(
      () => {
        throw new Error('no answer');
      },
      { needed: false },
    );
    for (; dead.clock.time_s < 400; dead.clock.time_s += 10) dead.watch.poll();
    expect(dead.watch.trip).toBeNull();
    expect(dead.watch.take().notes).toHaveLength(1);
  });

  it('never waits for a probe that hangs, starts no second one beside it, and counts what it misses', async () => {
    let calls = 0;
    const { watch, clock } = watching(() => {
      calls += 1;
      return new Promise(() => {});
    });
    for (; clock.time_s < 129; clock.time_s += 1) watch.poll();
    await settled();
    expect([calls, watch.trip]).toEqual([1, null]);
    clock.time_s = 130;
    watch.poll();
    expect(watch.trip).toMatch(/3 times in a row.*it has not answered yet/);
  });

  it('in virtual time lets a program take as long as it takes', async () => {
    let answer: (value: number) => void = () => {};
    const { watch, clock } = watching(
      () =>
        new Promise((resolve) => {
          answer = resolve;
        }),
      {},
      true,
    );
    for (; clock.time_s < 4000; clock.time_s += 10) watch.poll();
    expect(watch.trip).toBeNull();
    answer(33);
    await settled();
    expect(watch.take().samples).toMatchObject([{ value: 33 }]);
    watch.poll();
    answer(99);
    await settled();
    expect(watch.trip).toMatch(/99 °C, more than/);
  });

  it('is deaf once it has been stopped, and tells what was under way', async () => {
    let told: AbortSignal | null = null;
    let answer: (value: number) => void = () => {};
    const { watch, clock } = watching((signal) => {
      told = signal;
      return new Promise((resolve) => {
        answer = resolve;
      });
    });
    watch.poll();
    watch.stop();
    expect(told!.aborted).toBe(true);
    answer(99);
    await settled();
    clock.time_s += 100;
    watch.poll();
    expect([watch.trip, watch.take().samples]).toEqual([null, []]);
  });
});
