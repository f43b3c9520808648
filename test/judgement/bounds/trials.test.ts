import { describe, expect, it } from 'vitest';
import { doubtsOf } from '../../../src/judgement/bounds/doubts.js';
import {
  bestOf,
  byDrive,
  exceeds,
  keeps,
  settingKey,
  shareOf,
  trialsOf,
  worstOf,
} from '../../../src/judgement/bounds/trials.js';
import { type Look, madeRun, type Step } from '../made-run.js';

const run = (trials: readonly Look[], changes: Partial<Step> = {}) =>
  madeRun([{ step: 's', kind: 'climb', nominal_Hz: 1000, trials, ...changes }]);
const sure = trialsOf(run([{ power_W: 10, percent: 0.9, thd_percent: 0.4 }]), 'THD+N')[0]!;
const unsure = { ...sure, reading: { ...sure.reading, thdn_uncertainty_percent: 0.2 } };

describe('trialsOf', () => {
  it('takes the distortion that the limit is held against, and no reading without power or distortion', () => {
    const made = run([{ power_W: 10, percent: 0.9, thd_percent: 0.4 }]);
    expect(trialsOf(made, 'THD+N')[0]!.distortion).toBe(0.9);
    expect(trialsOf(made, 'THD')[0]!.distortion).toBe(0.4);
    const changed = (change: object) => ({
      ...made,
      readings: made.readings.map((one) => ({ ...one, ...change })),
    });
    expect(trialsOf(changed({ thd_percent: null }), 'THD')).toEqual([]);
    expect(trialsOf(changed({ power_W: 0 }), 'THD+N')).toEqual([]);
    expect(trialsOf(changed({ power_W: Number.NaN }), 'THD+N')).toEqual([]);
    expect(trialsOf({ ...made, points: [] }, 'THD+N')).toEqual([]);
  });
});

describe('A trial', () => {
  it('keeps or exceeds a limit with its own uncertainty, or does neither', () => {
    expect([worstOf(unsure), bestOf(unsure)]).toEqual([0.9 + 0.2, 0.9 - 0.2]);
    expect([worstOf(sure), bestOf(sure)]).toEqual([0.9, 0.9]);
    expect(bestOf({ ...unsure, distortion: 0.1 })).toBe(0);
    expect([0.6, 1, 1.2].map((limit) => [keeps(unsure, limit), exceeds(unsure, limit)])).toEqual([
      [false, true],
      [false, false],
      [true, false],
    ]);
    // At the limit it is kept.
    expect([keeps(sure, 0.9), exceeds(sure, 0.9)]).toEqual([true, false]);
  });

  it('has the share of its power that U is', () => {
    expect(shareOf(sure.reading)).toBeCloseTo(0.01, 12);
    expect(shareOf({ ...sure.reading, uncertainty_W: null })).toBeNull();
  });

  it('belongs to a channel, a frequency, a load and a set of driven channels', () => {
    const key = (changes: Partial<Step>) =>
      settingKey(trialsOf(run([{ power_W: 10, percent: 0.9 }], changes), 'THD+N')[0]!);
    const keys = [{}, { nominal_Hz: 100 }, { load_ohm: 4 }, { driven: [1] }, { driven: [2, 1] }].map(key);
    expect(new Set(keys).size).toBe(5);
    expect(key({ step: 'other', kind: 'sweep' })).toBe(key({}));
  });
});

describe('byDrive', () => {
  it('sorts by drive, and by power where the drive was the same', () => {
    const looks = [8, 2, 4].map((power_W) => ({ power_W, percent: 0.1 }));
    const [eight, two, four] = trialsOf(run(looks), 'THD+N');
    expect(byDrive([eight!, two!, four!])).toEqual([two, four, eight]);
    const sunk = { ...eight!, reading: { ...eight!.reading, power_W: 7 } };
    expect(byDrive([eight!, sunk, two!])).toEqual([two, sunk, eight]);
  });
});

describe('doubtsOf', () => {
  it('tells what makes a limit look kept from what makes it look exceeded', () => {
    const flags = ['harmonics-out-of-band', 'floor-limited', 'not-settled', 'near-input-rail'] as const;
    expect(doubtsOf(flags, 'kept')).toEqual(['harmonics-out-of-band', 'not-settled']);
    expect(doubtsOf(flags, 'exceeded')).toEqual(['floor-limited', 'not-settled']);
  });
});
