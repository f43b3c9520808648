import { expect, test } from 'vitest';
import type { Point, Reading } from '../../src/record/run-record.js';
import type { CourseEvent } from '../../src/runner/course/run-request.js';
import { RunWatch } from '../../src/view/run-watch.js';
import { ABOUT } from './invented-about.js';

const begins = (id: string): CourseEvent => ({
  kind: 'step-entered',
  step: id,
  step_kind: 'climb',
  entry: 'first',
  at_s: 0,
});

const pointOf = (number: number, step = 'first', channels = [1, 2]): CourseEvent => ({
  kind: 'point',
  point: { number, step, stepKind: 'climb', load_ohm: 8, driven: channels, at_s: number } as unknown as Point,
  readings: channels.map(
    (channel) =>
      ({
        channel,
        power_W: number,
        voltage_V: 1,
        thdn_percent: 0.01,
        frequency_Hz: 997,
        flags: [],
      }) as unknown as Reading,
  ),
  capture: { rate_Hz: 48_000, channels: [] },
  settlings: [],
});

test('steps are ahead, then now, then done', () => {
  const watch = new RunWatch(ABOUT);
  const stages = () => watch.view().steps.map(({ stage }) => stage);
  expect(stages()).toEqual(['ahead', 'ahead']);
  watch.take(begins('first'));
  expect(stages()).toEqual(['now', 'ahead']);
  watch.take(begins('second'));
  expect(stages()).toEqual(['done', 'now']);
  watch.take({ kind: 'ended', outcome: 'completed', reason: 'all walked', at_s: 3 });
  expect(stages()).toEqual(['done', 'done']);
  expect(watch.view()).toMatchObject({ state: 'completed', reason: 'all walked' });
});

test('the curve holds the readings of the step that is being played, with its thresholds', () => {
  const watch = new RunWatch(ABOUT);
  watch.take(begins('first'));
  watch.take(pointOf(1));
  watch.take(pointOf(2));
  expect(watch.view().curve).toMatchObject({ step: 'first', thresholds_percent: [0.1, 1] });
  expect(watch.view().curve?.dots.map(({ channel, power_W }) => [channel, power_W])).toEqual([
    [1, 1],
    [2, 1],
    [1, 2],
    [2, 2],
  ]);
  watch.take(begins('second'));
  watch.take(pointOf(3, 'second', [2]));
  expect(watch.view().curve?.dots).toHaveLength(1);
  expect(watch.view()).toMatchObject({ points: 3, latest: [{ channel: 2, power_W: 3 }] });
});

test('a view that was handed out does not change afterwards', () => {
  const watch = new RunWatch(ABOUT);
  watch.take(begins('first'));
  watch.take(pointOf(1));
  const before = watch.view();
  watch.take(pointOf(2));
  watch.take({ kind: 'note', topic: 'gain', text: 'found', at_s: 1 });
  expect(before.curve?.dots).toHaveLength(2);
  expect(before.events).toHaveLength(1);
});

test('a step of a hundred thousand points keeps whole points spread over all of it', () => {
  const watch = new RunWatch(ABOUT);
  watch.take(begins('first'));
  for (let number = 1; number <= 100_000; number++) watch.take(pointOf(number));
  const dots = watch.view().curve!.dots;
  expect(dots.length).toBeLessThanOrEqual(4_000);
  expect(dots.length).toBeGreaterThan(1_500);
  expect(dots.filter(({ channel }) => channel === 1)).toHaveLength(dots.length / 2);
  const times = dots.map(({ at_s }) => at_s);
  expect(times).toEqual(times.toSorted((a, b) => a - b));
  expect(times[0]).toBeLessThan(200);
  expect(times.at(-1)).toBeGreaterThan(99_900);
});

test('listeners hear of changes until they leave, questions included', () => {
  const watch = new RunWatch(ABOUT);
  const heard: (string | null)[] = [];
  const leave = watch.onChange(() => heard.push(watch.view().question));
  watch.asks('Move the taps?');
  watch.asks(null);
  leave();
  watch.asks('Not heard');
  expect(heard).toEqual(['Move the taps?', null]);
});

test('events are bounded to the last ones', () => {
  const watch = new RunWatch(ABOUT);
  for (let i = 0; i < 500; i++) watch.take({ kind: 'note', topic: 'n', text: String(i), at_s: i });
  const { events } = watch.view();
  expect(events).toHaveLength(200);
  expect(events.at(-1)?.text).toBe('499');
});
