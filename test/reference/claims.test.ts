// biome-ignore-all lint/suspicious/noApproximativeNumericConstant: the table is quoted as worked, to six figures
import { describe, expect, it } from 'vitest';
import { claimFigures } from '../../src/judgement/claim/claim-figures.js';
import { parseClaim, parseTerms } from '../../src/judgement/claim/claim-text.js';
import { restateClaim } from '../../src/judgement/restate/restate-claim.js';
import type { StepKind } from '../../src/judgement/restate/restating-step.js';

/** Half a unit of the sixth figure. */
const sixFigures = (found: number, expected: number) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(
    expected === 0 ? 1e-12 : 0.5001 * 10 ** (Math.floor(Math.log10(Math.abs(expected))) - 5),
  );

describe('figures of a claim', () => {
  /** Claim; V rms, V peak, A rms, A peak, dBW, dBV. Source: Ohm's and Joule's law, worked by hand. */
  it.each([
    ['0.25 W, 8 ohm', 1.41421, 2, 0.176777, 0.25, -6.0206, 3.0103],
    ['1 W, 8 ohm', 2.82843, 4, 0.353553, 0.5, 0, 9.0309],
    ['1 W, 4 ohm', 2, 2.82843, 0.5, 0.707107, 0, 6.0206],
    ['10 W, 8 ohm', 8.94427, 12.6491, 1.11803, 1.58114, 10, 19.0309],
    ['50 watts into 8 ohms', 20, 28.2843, 2.5, 3.53553, 16.9897, 26.0206],
    ['60 W, 6 ohm', 18.9737, 26.8328, 3.16228, 4.47214, 17.7815, 25.563],
    ['75 W, 16 ohm', 34.641, 48.9898, 2.16506, 3.06186, 18.7506, 30.7918],
    ['20 dBW, 8 ohm', 28.2843, 40, 3.53553, 5, 20, 29.0309],
    ['100 W, 4 ohm', 20, 28.2843, 5, 7.07107, 20, 26.0206],
    ['250 W, 2 ohm', 22.3607, 31.6228, 11.1803, 15.8114, 23.9794, 26.9897],
    ['500 W, 4 ohm', 44.7214, 63.2456, 11.1803, 15.8114, 26.9897, 33.0103],
    ['2 kW, 2 ohm', 63.2456, 89.4427, 31.6228, 44.7214, 33.0103, 36.0206],
  ])('%s agrees with the worked table', (text, V, Vpk, A, Apk, levelW, levelV) => {
    const figures = claimFigures(parseClaim(text));
    sixFigures(figures.voltage_V!, V);
    sixFigures(figures.voltage_Vpk!, Vpk);
    sixFigures(figures.current_A!, A);
    sixFigures(figures.current_Apk!, Apk);
    sixFigures(figures.level_dBW, levelW);
    sixFigures(figures.voltage_dBV!, levelV);
  });
});

describe('claims restated into another load', () => {
  /** Claim, load, watts, kind. Source: P R / R', handbook arithmetic; 200 W at 6 ohm: common practice, no source. */
  it.each<[string, string, number, StepKind]>([
    ['200 W, 6 ohm', '8 ohm', 150, 'lower-bound'],
    ['120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel', '8 ohm', 90, 'lower-bound'],
    ['100 W, 8 ohm', '4 ohm', 200, 'upper-bound'],
    ['100 W, 8 ohm', '6 ohm', 400 / 3, 'upper-bound'],
    ['100 W, 8 ohm', '2 ohm', 400, 'upper-bound'],
    ['75 W, 16 ohm', '8 ohm', 150, 'upper-bound'],
    ['500 W, 4 ohm', '8 ohm', 250, 'lower-bound'],
    ['250 W, 2 ohm', '4 ohm', 125, 'lower-bound'],
    ['30 mW, 32 ohm', '300 ohm', 0.0032, 'lower-bound'],
    // Ideal bridge on 14.4 V into 4 ohm: (14.4 V / root 2) squared / 4 ohm = 25.92 W.
    ['25.92 W, 4 ohm, 14.4 V supply', '8 ohm', 12.96, 'lower-bound'],
  ])('%s into %s', (text, load, power_W, kind) => {
    const steps = restateClaim(parseClaim(text), parseTerms(load));
    expect(steps).toHaveLength(1);
    expect(steps[0]!.power_W).toBeCloseTo(power_W, 9);
    expect(steps[0]!.kind).toBe(kind);
  });

  it('shows 200 W at 6 ohm into 8 ohm as 34.64 V and 150 W', () => {
    const [step] = restateClaim(parseClaim('200 W, 6 ohm'), { load_ohm: 8 });
    expect(step!.arithmetic).toBe('root of 200 W x 6 ohm = 34.64 V; 34.64 V squared / 8 ohm = 150 W');
  });
});

describe('a power of several channels together', () => {
  /** Source: Joule's law at each of the equal loads: 240 W over 2 x 8 ohm is 120 W each, root of 960 = 30.984 V. */
  it('has the volts and amps of its share at each load', () => {
    const figures = claimFigures(parseClaim('240 W total, 2 channels driven, 8 ohm'));
    expect(figures.voltage_V).toBeCloseTo(30.98387, 4);
    expect(figures.current_A).toBeCloseTo(3.872983, 5);
    expect(figures.level_dBW).toBeCloseTo(23.80211, 4);
  });

  it('has none where it is not said how many share it', () => {
    const figures = claimFigures(parseClaim('240 W total, 8 ohm'));
    expect([figures.voltage_V, figures.voltage_Vpk, figures.current_A, figures.current_Apk]).toEqual(
      Array(4).fill(null),
    );
  });

  it('goes into another load by the ratio of the ohms, there being no one voltage', () => {
    const [step] = restateClaim(parseClaim('240 W total, 2 channels driven, 8 ohm'), { load_ohm: 4 });
    expect(step!.power_W).toBe(480);
    expect(step!.arithmetic).toBe('240 W x 8 ohm / 4 ohm = 480 W');
  });
});

describe('claims restated to another sort of power or distortion', () => {
  /** Source: sums of equal parts; the mean square of a sine is half of its peak's. */
  it.each<[string, object, number, StepKind]>([
    ['240 W total, 2 channels driven, 8 ohm', { per: 'channel' }, 120, 'estimate'],
    ['5 x 100 W, 8 ohm', { per: 'channel' }, Number.NaN, 'exact'],
    ['200 W peak, 8 ohm', { kind: 'continuous' }, 100, 'upper-bound'],
    ['120 W dynamic, 20 ms burst, 8 ohm', { kind: 'continuous' }, 120, 'upper-bound'],
    ['300 W music power, 4 ohm', { kind: 'continuous' }, 300, 'upper-bound'],
  ])('%s', (text, terms, power_W, kind) => {
    const steps = restateClaim(parseClaim(text), terms);
    if (Number.isNaN(power_W)) return expect(steps).toEqual([]);
    expect(steps.map((step) => [step.power_W, step.kind])).toEqual([[power_W, kind]]);
  });

  it('a step from 1 % to 0.1 % lies between the ideal clipper and the cubic curve (closed forms of their series)', () => {
    const [step] = restateClaim(parseClaim('104.7506 W, 8 ohm, 1 %'), { distortion_percent: 0.1 });
    expect(step!.kind).toBe('estimate');
    // Ideal clipper of 40 V peak into 8 ohm: 1 % at 104.7506 W, 0.1 % at 100.7820 W, all harmonics counted.
    expect(step!.power_W).toBeCloseTo(100.782, 3);
    expect(step!.range_W![0]).toBeCloseTo(104.7506 / 9.23403, 4);
    expect(step!.range_W![1]).toBeCloseTo(104.7506 / 1.038789, 3);
  });

  it.each([
    ['from one channel to all', '100 W, 8 ohm, 1 channel', { driven: 'all' as const }],
    ['from two channels to five', '100 W, 8 ohm, 2 channels', { driven: 5 }],
    ['from 1 kHz to the band', '100 W, 8 ohm, 1 kHz', { frequency_Hz: [20, 20_000] as const }],
    ['from no stated load', '100 W', { load_ohm: 8 }],
    ['from no stated distortion', '100 W, 8 ohm', { distortion_percent: 1 }],
    ['beyond any model of clipping', '100 W, 8 ohm, 20 %', { distortion_percent: 1 }],
  ])('%s is not computed', (_, text, terms) => {
    const [step] = restateClaim(parseClaim(text), terms);
    expect(step!.kind).toBe('not-computed');
    expect(step!.power_W).toBeNull();
  });
});

describe('claims in the words of 16 CFR Part 432', () => {
  it('reads the disclosure that the rule asked for (432.2, text before 2024, paraphrased)', () => {
    const text =
      '100 watts per channel, minimum continuous average power into 8 ohms, both channels driven, 20 Hz - 20 kHz, 250 mW to rated power, no more than 0.05 % total harmonic distortion';
    expect(parseClaim(text)).toMatchObject({
      power_W: 100,
      per: 'channel',
      kind: 'continuous',
      load_ohm: 8,
      driven: 2,
      frequency_Hz: [20, 20_000],
      from_W: 0.25,
      distortion_percent: 0.05,
      distortion: 'THD',
    });
  });

  it('reads the terms of 2024: 8 ohm, 20 Hz to 20 kHz, THD+N of at most 1 % (89 FR 49797, public summary)', () => {
    const text =
      '60 W per channel continuous, 8 ohm, 20 Hz to 20 kHz, THD+N < 1.0 %, 120 V 60 Hz mains, 16 CFR 432';
    expect(parseClaim(text)).toMatchObject({
      power_W: 60,
      distortion_percent: 1,
      distortion: 'THD+N',
      supply: { kind: 'mains', voltage_V: 120, frequency_Hz: 60 },
      standard: '16 CFR 432',
    });
  });

  it('reads a vehicle rating (CTA-2006: 14.4 V, 4 ohm, 1 % THD+N)', () => {
    expect(parseClaim('4 x 25 W rms, 4 ohm, 1 % THD+N, 14.4 V supply, standard CTA-2006')).toMatchObject({
      power_W: 25,
      channels: 4,
      per: 'channel',
      kind: 'continuous',
      supply: { kind: 'dc', voltage_V: 14.4, frequency_Hz: null },
      standard: 'CTA-2006',
    });
  });
});
