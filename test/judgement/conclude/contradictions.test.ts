import { describe, expect, it } from 'vitest';
import type { Conclusion } from '../../../src/judgement/conclude/conclusion.js';
import { contradictions } from '../../../src/judgement/conclude/contradictions.js';
import type { RatedPower } from '../../../src/judgement/rating/rating.js';
import { type Look, madeRun, type Step } from '../made-run.js';

const SETTING = { load_ohm: 8, driven: [1, 2] };
/** 100 W over the band, of channel 1 at 1 kHz, where 102 W were found; U is 1 W. */
const power = (changes: Partial<RatedPower> = {}) =>
  ({
    ...{ power_W: 100, here_W: 102, uncertainty_W: 1, bound: 'found', channel: 1, nominal_Hz: 1000 },
    ...changes,
  }) as RatedPower;
const fullBand = (changes: Partial<RatedPower> = {}) =>
  ({
    ...{ code: 'full-band-power', setting: SETTING, limit_percent: 1, over_Hz: [500, 2000] },
    power: power(changes),
  }) as unknown as Conclusion;
const powerAt = (...limits: (readonly [number, number])[]) =>
  ({
    ...{ code: 'power-at', setting: SETTING },
    powers: limits.map(([limit_percent, here_W]) => ({ limit_percent, power: power({ here_W }) })),
  }) as unknown as Conclusion;

const over = (power_W: number, channel = 1) => ({ power_W, percent: 2, channel });
const kept = (power_W: number, channel = 1) => ({ power_W, percent: 0.5, channel });
/** Watts of the reading, with 1 % of U, against a conclusion. */
function against(conclusion: Conclusion, trials: readonly Look[], changes: Partial<Step> = {}) {
  const run = madeRun([{ step: 's', kind: 'climb', nominal_Hz: 1000, trials, ...changes }]);
  return contradictions([conclusion], run).map(({ reading }) => reading.power_W);
}

describe('A power over the band is contradicted', () => {
  it('by any channel that exceeds the limit below it, U of both allowed for, from 250 mW on', () => {
    // 98 W and 1 % are 98.98 W, below 100 W - 1 W.
    expect(against(fullBand(), [over(98, 2)])).toEqual([98]);
    expect(against(fullBand(), [over(98.1)])).toEqual([]);
    expect(against(fullBand({ uncertainty_W: null }), [over(98.1)])).toEqual([98.1]);
    expect(against(fullBand(), [over(0.25)])).toEqual([0.25]);
    expect(against(fullBand(), [over(0.249)])).toEqual([]);
    expect(against(fullBand(), [kept(98)])).toEqual([]);
    expect(against(fullBand({ bound: 'at-most' }), [over(50)])).toEqual([]);
    expect(against(fullBand({ bound: 'at-least' }), [over(50)])).toEqual([50]);
  });

  it('by its own channel keeping the limit above what was found at its own frequency', () => {
    // 104.1 W less 1 % are 103.06 W, more than 102 W + 1 W.
    expect(against(fullBand(), [kept(104.1)])).toEqual([104.1]);
    expect(against(fullBand(), [kept(104)])).toEqual([]);
    expect(against(fullBand({ uncertainty_W: null }), [kept(104)])).toEqual([104]);
    expect(against(fullBand(), [kept(110, 2)])).toEqual([]);
    expect(against(fullBand(), [kept(110)], { nominal_Hz: 1250 })).toEqual([]);
    expect(against(fullBand(), [over(110)])).toEqual([]);
    expect(against(fullBand({ bound: 'at-least' }), [kept(110)])).toEqual([]);
    expect(against(fullBand({ bound: 'at-most' }), [kept(110)])).toEqual([110]);
  });

  it.each<[string, Partial<Step>]>([
    ['at another load', { load_ohm: 4 }],
    ['with other channels driven', { driven: [1] }],
    ['beside the band', { nominal_Hz: 2100 }],
    ['that is doubtful', { flags: ['not-settled'] }],
  ])('by no reading %s', (_, changes) => {
    expect(against(fullBand(), [over(50)], changes)).toEqual([]);
  });
});

describe('Powers at several limits', () => {
  it('are contradicted where one of them is kept further up than was found', () => {
    expect(against(powerAt([0.1, 90], [1, 102]), [kept(104.1)])).toEqual([104.1]);
    expect(against(powerAt([0.1, 90], [1, 104]), [kept(104.1)])).toEqual([]);
    expect(against(powerAt([1, 102]), [kept(110)], { load_ohm: 4 })).toEqual([]);
  });
});

it('Other conclusions name no power that a reading could contradict', () => {
  const other = { ...fullBand(), code: 'level-kept' } as unknown as Conclusion;
  expect(against(other, [over(50), kept(110)])).toEqual([]);
});
