import { describe, expect, it } from 'vitest';
import type { Claim } from '../../../src/judgement/claim/claim.js';
import { contraryTo, type StatedVerdict } from '../../../src/judgement/verdict/contrary-reading.js';
import { type Look, madeRun, type Step } from '../made-run.js';

/** One step at 1 kHz on channel 1, into 8 ohm with both channels driven; U is 1 % of each power. */
const step = (trials: readonly Look[], changes: Partial<Step> = {}): Step => ({
  ...{ step: 's', kind: 'climb', nominal_Hz: 1000, trials },
  ...changes,
});
const over = (power_W: number, channel = 1) => ({ power_W, percent: 2, channel });
const kept = (power_W: number, channel = 1) => ({ power_W, percent: 0.5, channel });

/** A verdict on 100 W at 1 %; gives the watts of the reading against it. */
function against(verdict: StatedVerdict['verdict'], steps: readonly Step[], claim: Partial<Claim> = {}) {
  return (
    contraryTo(madeRun(steps), {
      claim: { from_W: null, duration_s: null, ...claim } as Claim,
      ...{ verdict, required_W: 100, limit_percent: 1, measure: 'THD+N', band: [500, 2000] },
      at: { load_ohm: 8, driven: [1, 2], channel: 1, nominal_Hz: 1000 },
    })?.power_W ?? null
  );
}

describe('A claim that was met', () => {
  it('is contradicted by a limit that is exceeded short of the power by more than U', () => {
    expect(against('met', [step([over(99)])])).toBe(99);
    expect(against('met', [step([over(99.1)])])).toBeNull();
    expect(against('met', [step([kept(90)])])).toBeNull();
    expect(against('met', [step([over(90, 2)])])).toBe(90);
  });

  it('is not contradicted where the same channel keeps it at the same frequency further up', () => {
    expect(against('met', [step([over(90), kept(91)])])).toBeNull();
    expect(against('met', [step([over(90), kept(89)])])).toBe(90);
    // 98 W may be 102.9 W.
    expect(against('met', [step([over(99)]), step([kept(98)], { share: 0.05 })])).toBeNull();
    expect(against('met', [step([over(90), kept(90)])])).toBe(90);
    expect(against('met', [step([over(90), kept(95, 2)])])).toBe(90);
    expect(against('met', [step([over(90)]), step([kept(95)], { nominal_Hz: 1250 })])).toBe(90);
  });

  it('from a level on is contradicted by any such reading from there on', () => {
    const claim = { from_W: 10 };
    expect(against('met', [step([over(50), kept(95)])], claim)).toBe(50);
    expect(against('met', [step([over(10)])], claim)).toBe(10);
    expect(against('met', [step([over(9.9)])], claim)).toBeNull();
  });

  it.each<[string, Partial<Step>]>([
    ['at another load', { load_ohm: 4 }],
    ['with other channels driven', { driven: [1] }],
    ['beside the band', { nominal_Hz: 2100 }],
    ['near the floor of the bench', { flags: ['floor-limited'] }],
    ['without all harmonics', { flags: ['harmonics-out-of-band'] }],
  ])('is not contradicted by a reading %s', (_, changes) => {
    expect(against('met', [step([over(90)], changes)])).toBeNull();
  });
});

describe('A claim that was not met', () => {
  it('is contradicted by a limit that is kept at the power, less U, or more', () => {
    expect(against('not met', [step([kept(101.1)])])).toBe(101.1);
    expect(against('not met', [step([kept(100.9)])])).toBeNull();
    expect(against('not met', [step([kept(100)], { share: null })])).toBe(100);
    expect(against('not met', [step([over(110)])])).toBeNull();
  });

  it('is not contradicted at another channel or frequency, nor where it is from a level on or for a time', () => {
    expect(against('not met', [step([kept(110, 2)])])).toBeNull();
    expect(against('not met', [step([kept(110)], { nominal_Hz: 1250 })])).toBeNull();
    expect(against('not met', [step([kept(110)])], { from_W: 10 })).toBeNull();
    expect(against('not met', [step([kept(110)])], { duration_s: 60 })).toBeNull();
  });
});

it('Where a claim is inconclusive, nothing is contradicted', () => {
  for (const trials of [[over(90)], [kept(110)]]) expect(against('inconclusive', [step(trials)])).toBeNull();
});
