import { describe, expect, it } from 'vitest';
import { outcomeWords } from '../../src/document/model/wording.js';
import { END_CAUSES, type EndCause, endCauseOf } from '../../src/record/end-cause.js';
import { OUTCOMES } from '../../src/record/outcome.js';

const ended = (cause?: EndCause) => {
  const outcome = cause === undefined ? ('stopped' as const) : END_CAUSES[cause];
  return {
    outcome,
    reason: 'why',
    events: [{ kind: 'ended' as const, outcome, cause, reason: 'why', at_s: 1 }],
  };
};

describe('what ends a run', () => {
  it('makes one outcome each, and every outcome has a cause', () => {
    expect([...new Set(Object.values(END_CAUSES))].sort()).toEqual([...OUTCOMES].sort());
    for (const cause of Object.keys(END_CAUSES) as EndCause[]) expect(endCauseOf(ended(cause))).toBe(cause);
  });

  it('is put down to the operator only where it was the operator', () => {
    const blamed = (Object.keys(END_CAUSES) as EndCause[]).filter((cause) =>
      outcomeWords(ended(cause)).includes('operator'),
    );
    expect(blamed).toEqual(['not-confirmed']);
    expect(outcomeWords(ended('wrong-connection'))).toBe('Stopped by the wiring check: why');
  });

  it('is nobody in a run of an earlier version, or where the record was changed', () => {
    expect(outcomeWords(ended())).toBe('Stopped before its end: why');
    expect(endCauseOf({ ...ended('not-confirmed'), outcome: 'tripped' })).toBeNull();
    expect(endCauseOf({ outcome: 'running', events: [] })).toBeNull();
  });
});
