import { describe, expect, it } from 'vitest';
import { blindLengths, slipOf } from '../../scripts/detection/blind-lengths.js';
import { IDEAL } from '../../scripts/detection/capture-spec.js';
import { damaged, seenAt } from '../../scripts/detection/damage.js';
import { clickOf, gapOf, tally } from '../../scripts/detection/tally.js';

/*
 * The short form of `npm run detection`, whose figures docs/detection.md holds: invented captures, measured as a run
 * measures them.
 */
const LOUD = { nominal_Hz: 1000, rate_Hz: 48_000, level_dBFS: [-20, 0] } as const;

describe('in a tone of nominal 1 kHz at -20 dBFS or louder', () => {
  it('every gap of 1 to 1000 frames is found, to a few frames', () => {
    const { missed, off_frames } = tally(60, 31, { ...LOUD, nature: IDEAL }, gapOf(1, 1000));
    expect(missed).toEqual([]);
    expect(off_frames).toBeLessThanOrEqual(3);
  }, 120_000);

  it('a single lost or doubled sample is found however distorted, humming and sagging the tone is', () => {
    expect(tally(40, 32, LOUD, gapOf(1, 1)).missed).toEqual([]);
  }, 120_000);

  it('a gap of nearly one cycle is found in a sine', () => {
    expect(tally(20, 33, { ...LOUD, nature: IDEAL }, gapOf(47, 49)).missed).toEqual([]);
  }, 120_000);

  it('a click as high as the tone is found in a sine', () => {
    expect(tally(20, 34, { ...LOUD, nature: IDEAL }, clickOf(0)).missed).toEqual([]);
  }, 120_000);
});

describe('a clean capture', () => {
  it('of any tone, unit, converter and pair of clocks gives no alarm in 60', () => {
    expect(tally(60, 35, { rate_Hz: 48_000 }, null).missed).toEqual([]);
  }, 120_000);
});

describe('the damage', () => {
  const line = Float64Array.from({ length: 20 }, (_, n) => n);

  it('drops and doubles just the samples it says', () => {
    const dropped = damaged(line, 8, { kind: 'dropped', at: 3, frames: 2 }, 1);
    expect([...dropped]).toEqual([0, 1, 2, 5, 6, 7, 8, 9]);
    const doubled = { kind: 'doubled', at: 3, frames: 2 } as const;
    expect([...damaged(line, 8, doubled, 1)]).toEqual([0, 1, 2, 3, 4, 3, 4, 5]);
    expect(seenAt(doubled)).toBe(5);
  });

  it('changes the level or adds a pulse, and nothing beside it', () => {
    const half = damaged(line, 5, { kind: 'level', at: 2, frames: 2, step_dB: -20 }, 1);
    [0, 1, 0.2, 0.3, 4].forEach((value, n) => void expect(half[n]).toBeCloseTo(value, 12));
    expect([...damaged(line, 4, { kind: 'click', at: 1, frames: 2, height: 0.5 }, 10)]).toEqual([0, 6, 7, 3]);
  });
});

describe('gaps of whole cycles', () => {
  it('are reckoned from the frequency that is really played', () => {
    // 1 kHz at 48 kHz is 683 cycles in 32 768 frames: 47.97657 frames each, so that 48 of them leave 0.02343.
    expect(slipOf(48, 32_768 / 683)).toBeCloseTo(0.023426, 6);
    const { least, period } = blindLengths(1000, 48_000, 0.05);
    expect(period).toBeCloseTo(47.976574, 6);
    expect(least.map(({ frames }) => frames)).toEqual([48, 96]);
  });
});
