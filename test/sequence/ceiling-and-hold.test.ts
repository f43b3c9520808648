import { describe, expect, it } from 'vitest';
import type { HoldStep } from '../../src/steps/hold/plan.js';
import type { MaxPowerStep } from '../../src/steps/max-power/plan.js';
import type { QuietStep } from '../../src/steps/quiet/plan.js';
import { bench, chain, load } from './bench-fixture.js';
import { claimed, faultsOf, into8, planOf } from './plan-fixture.js';

const climb = 'climb: {id: climb-1k, frequency: 1 kHz}';
const first = <S>(text: string, on = bench(2), claim_W?: number) =>
  planOf(text, on, claimed(claim_W)).steps.at(-1) as S;

describe('a ceiling', () => {
  it('is laid out with its frequencies, ends and start', () => {
    const step = first<MaxPowerStep>(
      into8(
        climb,
        'ceiling: {id: top, threshold: 0.1 %, frequencies: R10 from 20 Hz to 20 kHz, from: 250 mW, to: 120 W, start: 0.1 % of climb-1k}',
      ),
    );
    expect(step).toMatchObject({
      kind: 'max-power',
      id: 'top',
      threshold_percent: 0.1,
      from_W: 0.25,
      most_W: 120,
      start: { kind: 'mark', climb: 'climb-1k', percent: 0.1, share: 1 },
    });
    expect(step.tones).toHaveLength(31);
    expect(step.tones[0]!.frequency_Hz).toBeLessThanOrEqual(20);
    expect(step.tones[30]!.frequency_Hz).toBeGreaterThanOrEqual(20_000);
  });

  it('starts from below, from 50 mW to what the bench takes, when nothing more is said', () => {
    const step = first<MaxPowerStep>(into8('ceiling: {threshold: 1 %, frequencies: [20 Hz, 1 kHz]}'));
    expect(step).toMatchObject({ id: 'ceiling-1', from_W: 0.05, most_W: 250, start: null });
  });

  it('may start at a power, and at a share of the claim', () => {
    const at = (start: string) =>
      first<MaxPowerStep>(
        into8(`ceiling: {threshold: 1 %, frequencies: [1 kHz], start: ${start}}`),
        bench(2),
        100,
      ).start;
    expect(at('80 W')).toEqual({ kind: 'power', power_W: 80 });
    expect(at('1/4 of claim')).toEqual({ kind: 'power', power_W: 25 });
  });

  it.each<[string, string, string]>([
    [
      'without a threshold',
      'ceiling: {frequencies: [1 kHz]}',
      '4:14: steps[1].ceiling.threshold: is missing; give a percentage such as 0.1 % or 1 %',
    ],
    [
      'with a threshold that the bench cannot see',
      'ceiling: {threshold: 0.0001 %, frequencies: [1 kHz]}',
      '4:26: steps[1].ceiling.threshold: the threshold of 0.0001 % is not above what the bench reads by itself; its floor is 0.0005 %',
    ],
    [
      'with a start above its top',
      'ceiling: {threshold: 1 %, frequencies: [1 kHz], to: 50 W, start: 60 W}',
      '4:70: steps[1].ceiling.start: the start at 60.0 W is not between the ends of the search; it goes from 50.0 mW to 50.0 W',
    ],
    [
      'that begins above its top',
      'ceiling: {threshold: 1 %, frequencies: [1 kHz], from: 20 W, to: 10 W}',
      '4:59: steps[1].ceiling.from: from 20.0 W is not below the top of this step; the top is 10.0 W',
    ],
    [
      "with a top above the load's rating",
      'ceiling: {threshold: 1 %, frequencies: [1 kHz], to: 300 W}',
      '4:57: steps[1].ceiling.to: 300.0 W is more than the bench can take; channel 1: the load is rated 250.0 W, channel 2: the load is rated 250.0 W',
    ],
    [
      'that starts from a climb that is not there',
      'ceiling: {threshold: 1 %, frequencies: [1 kHz], start: 1 % of c}',
      "4:60: steps[1].ceiling.start: there is no climb with the id 'c'; put a climb with this id before it",
    ],
  ])('%s is refused', (_, step, message) => {
    expect(faultsOf(into8(step))).toEqual([message]);
  });
});

describe('a hold', () => {
  it('keeps a level for a time', () => {
    const step = first<HoldStep>(into8('hold: {frequency: 20 Hz, level: 50 W, for: 5 min, every: 20 s}'));
    expect(step).toMatchObject({
      kind: 'hold',
      id: 'hold-1',
      level: { kind: 'power', power_W: 50 },
      most_W: 50,
      seconds: 300,
      every_s: 20,
    });
    expect(step.tone.nominal_Hz).toBe(20);
  });

  it('keeps a point every 10 s, a warm-up every minute and at 1 kHz, unless it is shorter', () => {
    const every = (step: string) => first<HoldStep>(into8(step)).every_s;
    expect(every('hold: {frequency: 1 kHz, level: 1 W, for: 1 min}')).toBe(10);
    expect(every('hold: {frequency: 1 kHz, level: 1 W, for: 4 s}')).toBe(4);
    expect(every('warm-up: {level: 1 W, for: 1 h}')).toBe(60);
    const warm = first<HoldStep>(into8('warm-up: {level: 1 W, for: 1 h}'));
    expect(warm).toMatchObject({ kind: 'warm-up', id: 'warm-up-1', seconds: 3600 });
    expect(warm.tone.nominal_Hz).toBe(1000);
  });

  it('may take its level from volts, from a climb, or from the claim', () => {
    const hold = (level: string, claim_W?: number) =>
      first<HoldStep>(
        into8(climb, `hold: {frequency: 1 kHz, level: ${level}, for: 1 min}`),
        bench(2),
        claim_W,
      );
    // 2.83 V into 8 ohm: 1.0011 W (P = V²/R).
    expect(hold('2.83 V')).toMatchObject({ level: { kind: 'voltage', voltage_V: 2.83 } });
    expect(hold('2.83 V').most_W).toBeCloseTo(1.0011125, 9);
    expect(hold('1/8 of 0.1 % of climb-1k')).toMatchObject({
      level: { kind: 'mark', climb: 'climb-1k', percent: 0.1, share: 0.125 },
      most_W: 31.25,
    });
    // The fourth check of the trade rule: one eighth of 100 W (facts on 16 CFR Part 432, preconditioning).
    expect(hold('1/8 of claim', 100)).toMatchObject({
      level: { kind: 'power', power_W: 12.5 },
      most_W: 12.5,
    });
    expect(hold('12.5 % of claim', 100).most_W).toBe(12.5);
    expect(hold('claim', 100).most_W).toBe(100);
  });

  it('keeps the claim in the plan', () => {
    expect(planOf(into8(climb), bench(1), claimed(80)).claim_W).toBe(80);
    expect(planOf(into8(climb), bench(1))).not.toHaveProperty('claim_W');
  });

  it('may pass the continuous rating for as long as the load is no warmer than at it', () => {
    // From cold: 100 W (1 - exp(-t / 300 s)) = 60 W at t = 300 s x ln 2.5 = 274.887 s.
    const on = bench(1, { channels: [chain(1, { loads: [load(8, { rating_W: 60, shortRating_W: 120 })] })] });
    const hold = (time: string) => into8(`hold: {frequency: 1 kHz, level: 100 W, for: ${time}}`);
    expect(first<HoldStep>(hold('274 s'), on).seconds).toBe(274);
    expect(faultsOf(hold('275 s'), on)).toEqual([
      '4:49: steps[1].hold.for: 100.0 W for 4 min 35 s is more than the load of channel 1 stands, which is rated 60.0 W continuous; at most 4 min 34 s at this level, or at most 60.0 W',
    ]);
    expect(first<HoldStep>(into8('hold: {frequency: 1 kHz, level: 60 W, for: 24 h}'), on).seconds).toBe(
      86_400,
    );
  });

  it('judges a level in volts by the load of each channel', () => {
    const on = bench(2, {
      channels: [
        chain(1, { loads: [load(8, { rating_W: 100 })] }),
        chain(2, { loads: [load(8, { measured_ohm: 6, rating_W: 100, shortRating_W: 200 })] }),
      ],
    });
    // 28 V: 98 W into 8 ohm, 130.67 W into 6 ohm (P = V²/R); 300 s x -ln(1 - 100 / 130.67) = 435 s.
    expect(faultsOf(into8('hold: {frequency: 1 kHz, level: 28 V, for: 10 min}'), on)).toEqual([
      expect.stringContaining(
        '130.7 W for 10 min is more than the load of channel 2 stands, which is rated 100.0 W continuous; at most 7 min 14 s',
      ),
    ]);
  });

  it.each<[string, string, string]>([
    [
      'with a claim that nobody gave',
      'hold: {frequency: 1 kHz, level: claim, for: 1 min}',
      '4:37: steps[1].hold.level: this sequence needs a claim; give it with --claim "100 W"',
    ],
    [
      'that is read less often than it lasts',
      'hold: {frequency: 1 kHz, level: 1 W, for: 1 min, every: 2 min}',
      '4:61: steps[1].hold.every: every 2 min is longer than the hold; it lasts 1 min',
    ],
    [
      'without a frequency',
      'hold: {level: 1 W, for: 1 min}',
      '4:11: steps[1].hold.frequency: is missing; give a frequency such as 20 Hz or 1 kHz',
    ],
    [
      'without a level',
      'warm-up: {for: 1 min}',
      "4:14: steps[1].warm-up.level: is missing; give a level such as 50 W, 2.83 V, '0.1 % of climb-1k' or '1/8 of claim'",
    ],
    [
      'without a time',
      'warm-up: {level: 1 W}',
      '4:14: steps[1].warm-up.for: is missing; give a time such as 30 s or 5 min',
    ],
    [
      'with a level that is none',
      'hold: {frequency: 1 kHz, level: loud, for: 1 min}',
      "4:37: steps[1].hold.level: expected a level such as 50 W, 2.83 V, '0.1 % of climb-1k', '1/8 of 0.1 % of climb-1k', 'claim' or '1/8 of claim', got 'loud'",
    ],
    [
      'with more than all of the claim',
      'hold: {frequency: 1 kHz, level: 9/8 of claim, for: 1 min}',
      "4:37: steps[1].hold.level: expected a share above 0 and up to 1, got '9/8'",
    ],
    [
      'above the bench',
      'hold: {frequency: 1 kHz, level: 300 W, for: 1 s}',
      '4:37: steps[1].hold.level: 300.0 W is more than the bench can take; channel 1: the load is rated 250.0 W, channel 2: the load is rated 250.0 W',
    ],
    [
      'with a time below one record',
      'hold: {frequency: 1 kHz, level: 1 W, for: 10 ms}',
      "4:47: steps[1].hold.for: expected a time of at least 1 s, got '10 ms'",
    ],
  ])('%s is refused', (_, step, message) => {
    expect(faultsOf(into8(step))).toEqual([message]);
  });
});

describe('a quiet step', () => {
  it('plays nothing, and may say how much DC and noise is too much', () => {
    const step = first<QuietStep>(into8('quiet: {for: 10 s, most_dc: 50 mV, most_noise: 5 mV}'));
    expect(step).toMatchObject({
      kind: 'quiet',
      id: 'quiet-1',
      driven: [1, 2],
      seconds: 10,
      mostDc_V: 0.05,
      mostNoise_V: 0.005,
    });
    expect(first<QuietStep>(into8('quiet: {for: 10 s}'))).toMatchObject({
      mostDc_V: null,
      mostNoise_V: null,
    });
  });

  it('takes time and a visit, but no power', () => {
    const { estimate } = planOf(into8('quiet: {for: 10 s}'), bench(2));
    expect(estimate).toMatchObject({ points: 1, seconds: 10 + 20, visits: 1, loads: [], energy_J: 0 });
    expect(estimate.worst).toMatchObject({ power_W: 0, heat_J: 0 });
  });

  it('without a time, or with a limit that is none, is refused', () => {
    expect(faultsOf(into8('quiet: {most_dc: 0 V}'))).toEqual([
      '4:12: steps[1].quiet.for: is missing; give a time such as 30 s or 5 min',
      "4:22: steps[1].quiet.most_dc: expected a voltage above zero, got '0 V'",
    ]);
  });
});
