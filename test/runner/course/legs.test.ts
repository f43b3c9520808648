import { describe, expect, it } from 'vitest';
import type { Point } from '../../../src/record/run-record.js';
import { earlierSessions, legsOf } from '../../../src/runner/course/earlier-sessions.js';
import { makePlan } from '../../../src/sequence/make-plan.js';
import type { Plan } from '../../../src/sequence/plan.js';
import { readSequence } from '../../../src/sequence/sequence-file.js';
import { benchOf, benchText } from '../run.js';

const setup = benchOf(benchText(2));
const plan = makePlan(
  readSequence(
    `name: A night
load: 8 ohm
steps:
  - quiet: {id: silence, for: 2 s}
  - warm-up: {id: warm-1, level: 10 W, for: 1 min}
  - climb: {id: climb, frequency: 1 kHz, from: 1 W, marks: [1 %]}
  - warm-up: {id: warm-2, level: 10 W, for: 1 min}
  - rest: 1 min
  - sweep: {id: band, level: 1 W, frequencies: [1 kHz, 2 kHz]}
  - hold: {id: stay, frequency: 1 kHz, level: 10 W, for: 1 min}
`,
    'test.yaml',
  ),
  setup,
);

function pointIn(step: string): Point {
  const { kind } = plan.steps.find(({ id }) => id === step)!;
  return {
    number: 1,
    step,
    stepKind: kind as Point['stepKind'],
    nominal_Hz: 1000,
    frequency_Hz: 1000,
    driven: [1, 2],
    load_ohm: 8,
    mains_V: null,
    cell: '',
    level_dB: -20,
    asked_W: 1,
    at_s: 3,
  };
}

/** The steps of a session that takes up a run which has entered these, with a point in one of them. */
function walked(entered: readonly string[], pointed: string | null = null, of: Plan = plan): string[] {
  const events = entered.map((step) => ({
    at_s: 1,
    kind: 'step-entered' as const,
    step,
    step_kind: null,
    entry: 'first' as const,
  }));
  const points = pointed === null ? [] : [pointIn(pointed)];
  const run = { points, readings: [], findings: [], probes: [], events, outcome: 'fault', reason: 'gone' };
  return legsOf(of, earlierSessions(of, run)).map(({ step, entry }) => `${step.id} ${entry}`);
}

describe('the steps of a session that takes up a run', () => {
  it('begin with silence and the last warm-up, whole, and go on where the run was broken off', () => {
    expect(walked(['silence', 'warm-1', 'climb', 'warm-2', 'rest-5', 'band'], 'band')).toEqual([
      'silence again',
      'warm-2 again',
      'band on',
      'stay first',
    ]);
    expect(walked(['silence', 'warm-1', 'climb'], 'climb').slice(0, 4)).toEqual([
      'silence again',
      'warm-1 again',
      'climb on',
      'warm-2 first',
    ]);
  });

  it('do a step from its beginning that has no readings to keep', () => {
    expect(walked(['silence', 'warm-1', 'climb', 'warm-2', 'rest-5']).slice(0, 3)).toEqual([
      'silence again',
      'warm-2 again',
      'rest-5 again',
    ]);
    expect(walked(['silence', 'warm-1', 'climb']).slice(0, 3)).toEqual([
      'silence again',
      'warm-1 again',
      'climb again',
    ]);
  });

  it('play a warm-up that was broken off as a whole, and no other', () => {
    expect(walked(['silence', 'warm-1', 'climb', 'warm-2'], 'warm-2').slice(0, 2)).toEqual([
      'silence again',
      'warm-2 again',
    ]);
  });

  it('are all of them when the run has entered none', () => {
    expect(walked([]).map((words) => words.split(' ')[0])).toEqual(plan.steps.map(({ id }) => id));
  });

  it('are found by the furthest step, whatever was played again in between', () => {
    const entered = ['silence', 'warm-1', 'climb', 'silence', 'warm-1'];
    expect(walked(entered, 'climb')[2]).toBe('climb on');
  });

  it('leave out a silence for which somebody would have to come', () => {
    const moved: Plan = {
      ...plan,
      steps: plan.steps.map((step) => (step.kind === 'quiet' ? { ...step, load_ohm: 4 } : step)),
    };
    expect(walked(['silence', 'warm-1', 'climb'], 'climb', moved)[0]).toBe('warm-1 again');
  });
});

describe('a run that holds what only a later version knows', () => {
  const base = { readings: [], findings: [], probes: [], outcome: 'fault', reason: 'gone' };

  it('is never resumed: neither with a kind of step, nor with an event, nor with a finding', () => {
    const point = { ...pointIn('climb'), stepKind: 'burst' as Point['stepKind'] };
    expect(() => earlierSessions(plan, { ...base, points: [point], events: [] })).toThrow(
      /of the kind 'burst'/,
    );
    const event = { at_s: 1, kind: 'unknown' as const, named: 'rebooted', fields: {} };
    expect(() => earlierSessions(plan, { ...base, points: [], events: [event] })).toThrow(
      /an event 'rebooted', which this version of ohmest does not know/,
    );
    const finding = {
      ...{
        quantity: 'damping',
        statistic: 'value',
        value: null,
        bound: 'found',
        why: null,
        uncertainty: null,
      },
      ...{ budgets: [], terms: {}, points: [], flags: [], remarks: [] },
      setting: {
        step: 'climb',
        step_kind: 'climb',
        channel: 1,
        driven: [1],
        load_ohm: 8,
        mains_V: null,
        cell: '',
      },
      stimulus: { lines_Hz: [], nominal_Hz: null, envelope: { kind: 'silence' } },
    };
    expect(() => earlierSessions(plan, { ...base, points: [], events: [], findings: [finding] })).toThrow(
      /a finding 'damping'/,
    );
  });
});
