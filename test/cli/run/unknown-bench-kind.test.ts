import { describe, expect, it } from 'vitest';
import { requireKnownKind } from '../../../src/cli/run/bench-of-run.js';
import { benchKindWords } from '../../../src/document/model/bench-kind-words.js';

const bench = (kind: string) => ({ name: 'b', kind, rate_Hz: 48_000, text: '', sha256: '' });

describe('a run that was made on a kind of bench which this version does not know', () => {
  it('is shown with the name of the kind, and as unknown', () => {
    expect(benchKindWords('satellite')).toBe("a kind that this version does not know, 'satellite'");
    expect(benchKindWords('audio')).toBe('sound interface');
  });

  it('is never resumed', () => {
    expect(() => requireKnownKind({ run: 3, bench: bench('satellite') })).toThrow(
      /run 3 was made on a bench of the kind 'satellite', which this version of ohmest does not know/,
    );
    expect(() => requireKnownKind({ run: 3, bench: bench('toString') })).toThrow();
    expect(() => requireKnownKind({ run: 3, bench: bench('command') })).not.toThrow();
  });
});
