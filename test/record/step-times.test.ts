import { describe, expect, it } from 'vitest';
import type { RunEvent } from '../../src/record/run-event.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { stepVisits } from '../../src/record/step-times.js';

const entered = (step: string, at_s: number, entry: 'first' | 'again' | 'on' = 'first'): RunEvent => ({
  ...{ kind: 'step-entered', step, step_kind: 'warm-up', entry, at_s },
});
const ended: RunEvent = { kind: 'ended', outcome: 'completed', reason: '', at_s: 5000 };
const session = (number: number, at_s: number): RunRecord['sessions'][number] => ({
  ...{ number, at_s, started: '2031-01-01T00:00:00Z', first_point: 9, before: 'interrupted' },
});

describe('stepVisits', () => {
  it('lasts from entering a step to leaving it, to the next, or to the end of the run', () => {
    const events: RunEvent[] = [
      entered('warm', 10),
      { kind: 'note', topic: 'x', text: 'y', at_s: 100 },
      { kind: 'step-left', step: 'warm', at_s: 3610 },
      entered('climb', 3700),
      entered('sweep', 4000),
      ended,
    ];
    expect(stepVisits({ events, sessions: [] }).map(({ step, seconds }) => [step, seconds])).toEqual([
      ['warm', 3600],
      ['climb', 300],
      ['sweep', 1000],
    ]);
  });

  it('counts each visit by itself: a warm-up that was broken off and played again lasted twice as long as each', () => {
    const events = [
      entered('warm', 0),
      { kind: 'note', topic: 'x', text: 'last', at_s: 603 } as const,
      entered('warm', 2759, 'again'),
      { kind: 'step-left', step: 'warm', at_s: 3362 } as const,
    ];
    const visits = stepVisits({ events, sessions: [session(2, 700)] });
    expect(visits.map(({ seconds }) => seconds)).toEqual([700, 603]);
  });

  it('ends with the last event where nothing else ends it', () => {
    const events: RunEvent[] = [entered('warm', 5), { kind: 'note', topic: 'x', text: 'y', at_s: 65 }];
    expect(stepVisits({ events, sessions: [] })).toEqual([{ step: 'warm', from_s: 5, seconds: 60 }]);
  });
});
