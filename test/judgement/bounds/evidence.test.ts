import { describe, expect, it } from 'vitest';
import { evidenceOf } from '../../../src/judgement/bounds/evidence.js';
import { climbs, climbTo, madeRun, type Step } from '../made-run.js';

const climb = (...trials: Step['trials'][number][]): Step => ({
  step: 'climb',
  kind: 'climb',
  nominal_Hz: 1000,
  trials,
});
const only = (step: Step, limit = 1) => evidenceOf(madeRun([step]), limit, 'THD+N')[0];

describe('evidenceOf', () => {
  it('takes a power that a step found at this limit as it is, with its budget', () => {
    const made = climbTo(101.5, 1);
    const budget = {
      ...{ quantity: 'power', value: 101.5, unit: 'W', components: [], missing: [], standard_percent: 0.5 },
      ...{ freedom: null, coverage_factor: 2, expanded_percent: 1, expanded: 1.015 },
    } as const;
    const run = madeRun([made.step], [{ ...made.result, budgets: [budget] } as typeof made.result]);
    expect(evidenceOf(run, 1, 'THD+N')).toMatchObject([
      {
        least_W: 101.5,
        most_W: 101.5,
        kept_W: 101.5,
        inferred: '',
        share: expect.closeTo(0.01, 12),
        points: [2, 3],
        budget,
      },
    ]);
  });

  it('interpolates between readings at most 0.1 dB apart, and not between wider ones', () => {
    const near = only(climb({ power_W: 100, percent: 0.9 }, { power_W: 102, percent: 1.1 }))!;
    expect(near.least_W).toBe(near.most_W);
    const far = only(climb({ power_W: 50, percent: 0.9 }, { power_W: 100, percent: 1.1 }))!;
    expect(far.kept_W).toBe(50);
    expect(far.least_W!).toBeLessThan(51);
    expect(far.most_W!).toBeGreaterThan(98);
  });

  it('counts the last crossing: noise that passes the limit at low level is none', () => {
    const found = only(
      climb(
        { power_W: 0.05, percent: 2 },
        { power_W: 1, percent: 0.3 },
        { power_W: 100, percent: 0.9 },
        { power_W: 101, percent: 1.2 },
      ),
    )!;
    expect(found.kept_W).toBeGreaterThan(100);
    expect(found.passing.map(({ power_W }) => power_W)).toEqual([0.05, 101]);
  });

  it('bounds nothing by a reading whose own uncertainty reaches over the limit', () => {
    const run = madeRun([climb({ power_W: 100, percent: 0.9 })]);
    const unsure = {
      ...run,
      readings: run.readings.map((one) => ({ ...one, thdn_uncertainty_percent: 0.2 })),
    };
    expect(evidenceOf(unsure, 1, 'THD+N')[0]).toMatchObject({ least_W: null, most_W: null });
  });

  it('goes by the worst reading of a level that was held', () => {
    const trials = [
      { power_W: 100, percent: 0.02 },
      { power_W: 99, percent: 0.4 },
      { power_W: 98, percent: 0.9 },
    ];
    const kept = only({ step: 'hold', kind: 'hold', nominal_Hz: 1000, trials })!;
    expect(kept.kept_W).toBe(98);
    const passed = only({ step: 'hold', kind: 'hold', nominal_Hz: 1000, trials }, 0.5)!;
    expect(passed.least_W).toBeNull();
    expect(passed.most_W!).toBeLessThan(98);
  });

  it('leaves out readings without a tone, with gaps, or with the converter at its rails', () => {
    for (const flag of ['no-tone', 'gap-in-capture', 'clipped-capture'] as const)
      expect(only({ ...climb({ power_W: 100, percent: 0.5 }), flags: [flag] })).toBeUndefined();
  });

  it('keeps steps, channels, loads and driven sets apart', () => {
    const run = climbs(
      climbTo(100, 1),
      climbTo(99, 1, { channel: 2 }),
      climbTo(180, 1, { load_ohm: 4 }),
      climbTo(110, 1, { driven: [1] }),
    );
    expect(evidenceOf(run, 1, 'THD+N').map(({ least_W }) => least_W)).toEqual([100, 99, 180, 110]);
  });
});
