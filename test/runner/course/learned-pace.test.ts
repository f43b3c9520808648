import { describe, expect, it } from 'vitest';
import { LearnedPace, type PaceClass } from '../../../src/runner/course/learned-pace.js';

const tone = (change: Partial<PaceClass> = {}): PaceClass => ({
  kind: 'tone',
  nominal_Hz: 1000,
  load_ohm: 8,
  driven: 2,
  ...change,
});

describe('LearnedPace', () => {
  it('keeps to the estimate while nothing was learned', () => {
    expect(new LearnedPace().factor(tone())).toBe(1);
  });

  it('comes close to what just such parts have taken', () => {
    const pace = new LearnedPace();
    pace.learn(tone(), 97, 194);
    // The estimate counts for three seconds: (3 + 194) / (3 + 97).
    expect(pace.factor(tone())).toBeCloseTo(1.97, 12);
  });

  it('takes bass to tell little of treble, and another load or more channels less than the same', () => {
    const pace = new LearnedPace();
    pace.learn(tone({ nominal_Hz: 20 }), 20, 80);
    const far = pace.factor(tone({ nominal_Hz: 10_000 }));
    const near = pace.factor(tone({ nominal_Hz: 25 }));
    expect(far).toBeLessThan(1.05);
    expect(near).toBeGreaterThan(3);
    expect(pace.factor(tone({ nominal_Hz: 20, load_ohm: 4 }))).toBeLessThan(
      pace.factor(tone({ nominal_Hz: 20 })),
    );
    expect(pace.factor(tone({ nominal_Hz: 20, driven: 8 }))).toBeLessThan(
      pace.factor(tone({ nominal_Hz: 20 })),
    );
  });

  it('takes no search to tell of how many captures the causes need', () => {
    const pace = new LearnedPace();
    pace.learn(tone({ kind: 'search' }), 100, 300);
    expect(pace.factor(tone({ kind: 'causes' }))).toBe(1);
  });

  it('is not led astray by a strange beginning', () => {
    const pace = new LearnedPace();
    pace.learn(tone(), 1, 1e6);
    expect(pace.factor(tone())).toBe(8);
  });
});
