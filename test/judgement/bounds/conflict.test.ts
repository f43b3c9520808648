import { describe, expect, it } from 'vitest';
import { conflictOf } from '../../../src/judgement/bounds/conflict.js';
import { trialsOf } from '../../../src/judgement/bounds/trials.js';
import { type Look, madeRun } from '../made-run.js';

/** One step's readings at one setting; U is 1 % of the power unless stated. */
const visit = (trials: readonly Look[], share = 0.01) =>
  trialsOf(madeRun([{ step: 's', kind: 'climb', nominal_Hz: 1000, trials, share }]), 'THD+N');
const kept = (...powers_W: number[]) => powers_W.map((power_W) => ({ power_W, percent: 0.5 }));
const PASSED = visit([{ power_W: 100, percent: 2 }]);

describe('conflictOf', () => {
  it('finds a reading over the limit where another step kept it just below and just above', () => {
    const witness = (power_W: number, percent: number) => expect.objectContaining({ power_W, percent });
    const other = visit(kept(95, 105));
    const found = { kept: witness(105, 0.5), exceeded: witness(100, 2) };
    expect(conflictOf([PASSED, other], 1)).toEqual(found);
    expect(conflictOf([other, PASSED], 1)).toEqual(found);
    // What keeps the limit exactly keeps it.
    expect(conflictOf([PASSED, other], 0.5)).toEqual(found);
    expect(conflictOf([PASSED, other], 0.4)).toBeNull();
    expect(conflictOf([PASSED, other], 2)).toBeNull();
  });

  it('finds none within one step', () => {
    expect(conflictOf([visit([...kept(95, 105), { power_W: 100, percent: 2 }])], 1)).toBeNull();
  });

  it.each([
    // 0.6 dB are 14.8 %; the same power is read to 2.3 % on either side: 100 * 1.023 / 0.977 = 104.71.
    ['only above', kept(105)],
    ['only below', kept(95)],
    ['too far below', kept(87, 105)],
    ['too far above', kept(95, 115)],
    ['by no more than a unit repeats to', kept(95, 104.6)],
    ['at the very power', kept(100, 115)],
    ['below and at the very power', kept(95, 100, 120)],
    ['above and at the very power', kept(100, 105)],
  ])('finds none where the other step kept it %s', (_, trials) => {
    expect(conflictOf([PASSED, visit(trials)], 1)).toBeNull();
  });

  it('names the reading near by where one further up lies beyond doubt', () => {
    expect(conflictOf([PASSED, visit(kept(88, 102, 130))], 1)?.kept.power_W).toBe(102);
  });

  it('allows for U on both where that is more than a unit repeats to', () => {
    // 5 %: 100 * 1.05 / 0.95 = 110.53.
    expect(conflictOf([PASSED, visit(kept(95, 110), 0.05)], 1)).toBeNull();
    expect(conflictOf([PASSED, visit(kept(95, 111), 0.05)], 1)).not.toBeNull();
  });
});
