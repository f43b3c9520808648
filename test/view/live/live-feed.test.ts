import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { CourseEvent } from '../../../src/runner/course/run-request.js';
import { LiveFeed } from '../../../src/view/live/live-feed.js';
import { applyChange, type LiveState, NOTHING_YET } from '../../../src/view/live/live-state.js';
import { RunWatch } from '../../../src/view/run-watch.js';
import { ABOUT } from '../invented-about.js';

const NEXT = { show: 'ohmest show 7', report: 'ohmest report 7 -o r.html', resume: 'ohmest resume 7' };

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const newWatch = () => new RunWatch({ ...ABOUT, armed: [], steps: [] });

const note = (text: string): CourseEvent => ({ kind: 'note', topic: 'trial', text, at_s: 0 });

/** Somebody who looks on, and what they know by now. */
function viewer(feed: LiveFeed) {
  const leaving = new AbortController();
  const seen = { state: NOTHING_YET as LiveState, events: [] as string[], leave: () => leaving.abort() };
  feed.join((event, data) => {
    seen.events.push(event);
    if (event === 'whole') seen.state = applyChange(NOTHING_YET, JSON.parse(data));
    if (event === 'change') seen.state = applyChange(seen.state, JSON.parse(data));
  }, leaving.signal);
  return seen;
}

test('whoever comes early or late knows the same, before the run has begun, while it goes and at its end', () => {
  const feed = new LiveFeed();
  const early = viewer(feed);
  expect(early.state).toEqual(NOTHING_YET);
  const watch = newWatch();
  feed.begin(watch, NEXT);
  watch.take(note('one'));
  const late = viewer(feed);
  watch.take(note('two'));
  vi.advanceTimersByTime(200);
  expect(early.state).toEqual({ view: watch.view(), next: NEXT, stopping: false });
  expect(late.state).toEqual(early.state);
  watch.take({ kind: 'ended', outcome: 'completed', reason: 'all walked', at_s: 3 });
  feed.end();
  const latest = viewer(feed);
  for (const { state, events } of [early, late, latest]) {
    expect(state.view).toEqual(watch.view());
    expect(events.at(-1)).toBe('end');
  }
});

test('a thousand changes in a second are told five times', () => {
  const [feed, watch] = [new LiveFeed(), newWatch()];
  feed.begin(watch, NEXT);
  const { events } = viewer(feed);
  for (let i = 0; i < 1000; i++) {
    watch.take(note(String(i)));
    vi.advanceTimersByTime(1);
  }
  expect(events.filter((event) => event === 'change').length).toBeLessThanOrEqual(5);
  expect(events.filter((event) => event === 'change').length).toBeGreaterThanOrEqual(4);
});

test('nobody looking on costs no view and leaves no timer behind', () => {
  const [feed, watch] = [new LiveFeed(), newWatch()];
  feed.begin(watch, NEXT);
  const seen = viewer(feed);
  seen.leave();
  vi.advanceTimersByTime(200);
  const looked = vi.spyOn(watch, 'view');
  for (let i = 0; i < 100; i++) watch.take(note(String(i)));
  expect(looked).not.toHaveBeenCalled();
  expect(vi.getTimerCount()).toBe(0);
});

test('while nothing happens the run is said to be alive', () => {
  const feed = new LiveFeed();
  const { events } = viewer(feed);
  vi.advanceTimersByTime(10_000);
  expect(events).toEqual(['whole', 'pulse', 'pulse']);
});

test('a stop that was asked for is told until the run has ended', () => {
  const [feed, watch] = [new LiveFeed(), newWatch()];
  feed.begin(watch, NEXT);
  const seen = viewer(feed);
  feed.stopAsked();
  vi.advanceTimersByTime(200);
  expect(seen.state.stopping).toBe(true);
  watch.take({ kind: 'ended', outcome: 'interrupted', reason: 'from the live page', at_s: 3 });
  feed.end();
  expect(seen.state).toMatchObject({ stopping: false, view: { state: 'interrupted' } });
});

test('a viewer that cannot be told anything is left behind, and the others go on', () => {
  const [feed, watch] = [new LiveFeed(), newWatch()];
  feed.begin(watch, NEXT);
  let told = 0;
  feed.join(() => {
    told++;
    if (told > 1) throw new Error('the socket has gone');
  }, new AbortController().signal);
  const other = viewer(feed);
  for (const text of ['one', 'two']) {
    watch.take(note(text));
    vi.advanceTimersByTime(200);
  }
  expect(told).toBe(2);
  expect(other.state.view).toEqual(watch.view());
});
