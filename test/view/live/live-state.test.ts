import { expect, test } from 'vitest';
import {
  applyChange,
  changeBetween,
  type LiveState,
  NOTHING_YET,
} from '../../../src/view/live/live-state.js';
import type { Dot, RunView } from '../../../src/view/run-view.js';
import { ABOUT } from '../invented-about.js';

const dot = (power_W: number): Dot => ({
  channel: 1,
  frequency_Hz: 997,
  power_W,
  thdn_percent: 0.01,
  at_s: power_W,
});

const view = (more: Partial<RunView> = {}): RunView => ({
  ...ABOUT,
  state: 'running',
  reason: '',
  steps: [{ id: 'first', words: 'climb', stage: 'ahead' }],
  now: null,
  curve: null,
  latest: [],
  points: 0,
  found: [],
  events: [],
  question: null,
  ...more,
});

const state = (more: Partial<RunView> = {}): LiveState => ({ view: view(more), next: null, stopping: false });

const curve = (step: string, dots: readonly Dot[]): RunView['curve'] => ({
  step,
  stepKind: 'climb',
  load_ohm: 8,
  driven: [1],
  thresholds_percent: [0.1, 1],
  dots,
});

/** As it arrives on the other side of a wire. */
const sent = (before: LiveState, after: LiveState) =>
  JSON.parse(JSON.stringify(changeBetween(before, after)));

test('whoever applies every change has the state itself, whatever happens to its lists', () => {
  const dots = Array.from({ length: 40 }, (_, i) => dot(i + 1));
  const events = Array.from({ length: 9 }, (_, i) => ({ at_s: i, kind: 'note', text: `${i}` }));
  const course: LiveState[] = [
    NOTHING_YET,
    state(),
    state({ curve: curve('first', dots.slice(0, 1)), events: events.slice(0, 1) }),
    state({ curve: curve('first', dots.slice(0, 4)), events: events.slice(0, 5) }),
    // Thinned: every second one only.
    state({
      curve: curve(
        'first',
        dots.slice(0, 4).filter((_, i) => i % 2 === 0),
      ),
      events: events.slice(0, 5),
    }),
    // The oldest events are forgotten while new ones come.
    state({ curve: curve('first', [dots[0]!, dots[2]!, dots[9]!]), events: events.slice(3, 8) }),
    state({ curve: curve('second', dots.slice(20, 22)), events: events.slice(8) }),
    state({ curve: curve('second', []), events: [], question: 'Is it so?' }),
    { ...state({ state: 'completed', reason: 'all walked' }), stopping: true },
  ];
  let known = NOTHING_YET;
  let before = NOTHING_YET;
  for (const after of course) {
    known = applyChange(known, sent(before, after));
    expect(known).toEqual(after);
    before = after;
  }
});

test('one more reading is told in fewer than 420 bytes, however many there were', () => {
  const dots = Array.from({ length: 4_000 }, (_, i) => dot(i + 1));
  const before = state({ curve: curve('first', dots.slice(0, -1)) });
  const after = state({ curve: curve('first', dots), points: 4_000 });
  expect(JSON.stringify(changeBetween(before, after)).length).toBeLessThan(420);
});

test('nothing different is told as nothing', () => {
  const before = state({
    curve: curve('first', [dot(1)]),
    events: [{ at_s: 0, kind: 'step', text: 'first' }],
  });
  const after = { ...before, view: { ...before.view!, steps: [...before.view!.steps] } };
  expect(changeBetween(before, after)).toEqual({
    state: {},
    view: {},
    dots: { drop: 0, more: [] },
    events: { drop: 0, more: [] },
    found: { drop: 0, more: [] },
  });
});
