import { describe, expect, it } from 'vitest';
import { heldThrough, readOff } from '../../../src/judgement/bounds/read-off.js';
import { type Trial, trialsOf } from '../../../src/judgement/bounds/trials.js';
import { leastGain } from '../../../src/judgement/restate/clipping-model.js';
import type { FlagCode } from '../../../src/measure/flags.js';
import { madeRun } from '../made-run.js';

const [TEMPLATE] = trialsOf(
  madeRun([{ step: 's', kind: 'climb', nominal_Hz: 1000, trials: [{ power_W: 10, percent: 0.01 }] }]),
  'THD+N',
);

interface Read {
  readonly gain_dB?: number;
  readonly u_percent?: number;
  readonly flags?: readonly FlagCode[];
}

/** Trials as output in dBW (drive follows at 30 dB of gain) and distortion in percent; U of each power is 1 %. */
const read = (...trials: readonly (readonly [number, number, Read?])[]): Trial[] =>
  trials.map(([output_dBW, distortion, { gain_dB = 30, u_percent = null, flags = [] } = {}], i) => {
    const power_W = 10 ** (output_dBW / 10);
    return {
      point: { ...TEMPLATE!.point, number: i + 1, level_dB: output_dBW - gain_dB },
      reading: {
        ...TEMPLATE!.reading,
        ...{ power_W, gain_dB, flags, uncertainty_W: 0.01 * power_W, thdn_uncertainty_percent: u_percent },
      },
      distortion,
    };
  });
const dBW = (value: number) => 10 ** (value / 10);
const near = (value: number) => expect.closeTo(value, 9);
const FAR = { delivered_W: 1e6 };
const bounds = (trials: readonly Trial[], limit = 1, reach = FAR) => {
  const { least_W, most_W, kept_W, never_kept } = readOff(trials, limit, reach);
  return { least_W, most_W, kept_W, never_kept };
};

describe('readOff', () => {
  it('interpolates a bracket of 0.1 dB: power and distortion as straight lines of their logarithms', () => {
    const trials = read([10, 0.1], [20, 0.5], [20.08, 2]);
    // Half-way from 0.5 to 2 % lies 1 %.
    const shown = readOff(trials, 1, FAR);
    expect(shown).toMatchObject({ least_W: near(dBW(20.04)), most_W: near(dBW(20.04)), never_kept: false });
    expect(shown.trials).toEqual(trials.slice(1));
    expect(shown.share).toBeCloseTo(0.01, 12);
  });

  it('adds to U what that of the distortion makes of it, by the steepness of the curve', () => {
    const trials = read([10, 0.1], [20, 0.25, { u_percent: 0.025 }], [20.08, 1]);
    // ln(10 ^ 0.008) / ln(4) of the relative uncertainty of 5 %.
    const slope = (0.008 * Math.log(10)) / Math.log(4);
    expect(readOff(trials, 0.5, FAR).share).toBeCloseTo(Math.hypot(0.01, slope * 0.05), 12);
    const unstated = trials.map((one) => ({ ...one, reading: { ...one.reading, uncertainty_W: null } }));
    expect(readOff(unstated, 0.5, FAR).share).toBeNull();
  });

  it('bounds the power by either reading of a wider step, and by an ideal clipper in between', () => {
    expect(bounds(read([10, 0.1], [20, 0.5], [21, 2]))).toEqual({
      least_W: near(100 * leastGain(0.5, 1)),
      most_W: near(dBW(21) / leastGain(1, 2)),
      kept_W: near(100),
      never_kept: false,
    });
  });

  it('interpolates neither over more than 0.1 dB of output nor over more than 0.2 dB of drive', () => {
    expect(bounds(read([10, 0.1], [20, 0.5], [20.15, 2])).kept_W).toBeCloseTo(100, 9);
    expect(bounds(read([10, 0.1], [20, 0.5], [20.08, 2, { gain_dB: 29.5 }])).kept_W).toBeCloseTo(100, 9);
  });

  it('takes a limit to be kept by what reaches it exactly', () => {
    expect(bounds(read([10, 0.1], [20, 1])).kept_W).toBeCloseTo(100, 9);
    expect(heldThrough(read([20, 1]), 1, FAR).kept_W).toBeCloseTo(100, 9);
  });

  it('lets power grow no further than the channel was seen to go, nor where the level was not reached', () => {
    const trials = read([10, 0.1], [20, 0.5], [21, 2]);
    expect(bounds(trials, 1, { delivered_W: 100.5 }).least_W).toBe(100.5);
    expect(bounds(trials, 1, { delivered_W: 50 }).least_W).toBeCloseTo(100, 9);
    const short = read([10, 0.1], [20, 0.5, { flags: ['power-not-reached'] }], [21, 2]);
    expect(bounds(short).least_W).toBeCloseTo(100, 9);
  });

  it('has no upper bound where the limit was kept to the end, or a hump may hide the rest', () => {
    expect(bounds(read([10, 0.1], [20, 0.5]))).toMatchObject({ kept_W: near(100), most_W: null });
    // 1.1 % is neither twice the limit nor where climbs stop at limits below that.
    expect(bounds(read([10, 0.1], [20, 0.3], [20.05, 0.55]), 0.5)).toMatchObject({
      kept_W: near(100),
      most_W: null,
    });
    expect(bounds(read([10, 0.1], [20, 0.3], [20.05, 0.96]), 0.5).most_W).not.toBeNull();
    // Twice a limit of 0.1 % is far enough, unless more than 2.05 dB of drive lie untried on the way to 0.95 %.
    expect(bounds(read([10, 0.05], [20, 0.05], [20.5, 0.15], [21, 0.2]), 0.1).most_W).not.toBeNull();
    expect(bounds(read([10, 0.05], [20, 0.05], [20.5, 0.15], [22.6, 0.2]), 0.1).most_W).toBeNull();
    expect(bounds(read([10, 0.05], [20, 0.05], [20.5, 0.15], [22.5, 0.2]), 0.1).most_W).not.toBeNull();
  });

  it('looks for the far side only beyond the limit, up to where climbs stop, step by step', () => {
    expect(bounds(read([0, 3], [10, 0.1], [20, 0.3], [20.05, 0.55]), 0.5).most_W).toBeNull();
    expect(bounds(read([10, 0.05], [20, 0.05], [20.2, 0.15], [20.4, 1], [23, 2]), 0.1).most_W).not.toBeNull();
    expect(
      bounds(read([10, 0.05], [20, 0.05], [20.2, 0.15], [20.4, 0.16], [22.6, 0.2]), 0.1).most_W,
    ).toBeNull();
    expect(
      bounds(read([10, 0.05], [20, 0.05], [20.5, 0.15], [21, 0.3], [21.5, 0.96]), 0.1).most_W,
    ).not.toBeNull();
    // 3, 4, 2 %, each a step further: the dip lies after the second.
    expect(bounds(read([10, 0.1], [18, 0.5], [20.5, 3], [21, 4], [22, 2], [23, 5])).most_W).toBeNull();
  });

  it('has no upper bound where distortion falls so fast beyond the limit that it may be kept again', () => {
    // 4, 2 % and a step of 1 dB more: 1 % may lie there.
    expect(bounds(read([10, 0.1], [20, 0.5], [20.5, 4], [21.5, 2], [22.5, 5])).most_W).toBeNull();
    expect(bounds(read([10, 0.1], [20, 0.5], [20.5, 4], [21.5, 2.1], [22.5, 5])).most_W).not.toBeNull();
  });

  it('takes the highest power for all there is where more drive gives no more', () => {
    const limited = read([10, 0.1], [20, 0.1], [20, 0.1, { gain_dB: 29 }], [20, 0.1, { gain_dB: 28 }]);
    expect(bounds(limited)).toEqual({
      least_W: near(100),
      most_W: near(100),
      kept_W: near(100),
      never_kept: false,
    });
    // Less power: the peak lies no higher than one more decibel of drive from 21 dBW makes it.
    const falling = read([20, 0.1], [21, 0.1], [20, 0.1, { gain_dB: 28 }]);
    expect(bounds(falling)).toMatchObject({ least_W: near(dBW(21)), most_W: near(dBW(22)) });
  });

  it('takes no power for all there is while output still rises, or where no reading keeps the limit for certain', () => {
    const rising = read([20, 0.1], [21, 0.1, { gain_dB: 29 }], [22, 0.1, { gain_dB: 28 }]);
    expect(bounds(rising)).toMatchObject({ kept_W: near(dBW(22)), most_W: null });
    const unsure = [30, 29, 28].map((gain_dB) => [20, 0.1, { gain_dB, u_percent: 2 }] as const);
    expect(bounds(read(...unsure))).toMatchObject({ least_W: null, kept_W: null, most_W: null });
  });

  it('bounds the power of a channel that exceeds the limit from the start only where distortion rises', () => {
    expect(bounds(read([10, 2], [20, 4]))).toEqual({
      least_W: null,
      most_W: near(10 / leastGain(1, 2)),
      kept_W: null,
      never_kept: true,
    });
    expect(bounds(read([10, 2], [20, 3.9]))).toMatchObject({ most_W: null, never_kept: true });
    expect(bounds(read([10, 2]))).toMatchObject({ most_W: near(10 / leastGain(1, 2)), never_kept: true });
    // Falling: noise. From 4 to 2 % in 10 dB, and 10 dB more may keep it.
    expect(bounds(read([0, 4], [10, 2], [20, 8]))).toMatchObject({ most_W: null, never_kept: false });
    expect(bounds(read([0, 4], [10, 2.2], [20, 8]))).toMatchObject({
      most_W: near(1 / leastGain(1, 4)),
      never_kept: true,
    });
  });

  it('does not call a limit never kept that a reading may keep within its uncertainty', () => {
    expect(bounds(read([0, 4], [10, 1.1, { u_percent: 0.2 }])).never_kept).toBe(false);
    expect(bounds(read([10, 1.1, { u_percent: 0.2 }], [20, 4]))).toMatchObject({
      most_W: null,
      never_kept: false,
    });
  });

  it('bounds nothing by readings that reach over the limit with their uncertainty', () => {
    const unsure = { u_percent: 0.6 };
    expect(bounds(read([10, 0.1], [20, 0.5, unsure], [21, 2])).kept_W).toBeNull();
    expect(bounds(read([10, 0.1], [20, 0.5], [21, 1.5, unsure], [22, 2])).most_W).toBeNull();
  });
});

describe('heldThrough', () => {
  it('counts the lowest power and the worst distortion of a level that was held', () => {
    const held = heldThrough(read([20, 0.5], [19.9, 0.2], [20.1, 0.3]), 1, FAR);
    expect(held.kept_W).toBeCloseTo(dBW(19.9), 9);
    expect(held.least_W).toBeCloseTo(dBW(19.9) * leastGain(0.5, 1), 9);
    expect(held.most_W).toBeNull();
  });

  it('takes the lowest power that exceeded the limit for its upper bound', () => {
    const held = heldThrough(read([20, 0.5], [20.1, 2], [19.9, 3]), 1, FAR);
    expect(held).toMatchObject({ least_W: null, kept_W: null });
    expect(held.most_W).toBeCloseTo(dBW(19.9) / leastGain(1, 3), 9);
  });

  it('goes by the reading whose distortion with its uncertainty is worst', () => {
    expect(heldThrough(read([20, 0.9], [20, 0.8, { u_percent: 0.3 }]), 1, FAR).kept_W).toBeNull();
  });
});
