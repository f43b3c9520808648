import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseClaim } from '../../../src/judgement/claim/claim-text.js';
import { judgeRun } from '../../../src/judgement/judged-run.js';
import { type Verdict, verdict } from '../../../src/judgement/verdict/verdict.js';
import type { HoldResult } from '../../../src/record/old-results.js';
import { climbs, climbTo, madeRun, type Step } from '../made-run.js';

const judged = (text: string, run: Parameters<typeof verdict>[1]): Verdict => verdict(parseClaim(text), run);

const CLAIM = '100 W, 8 ohm, 1 %, 1 kHz, 2 channels';
const OCTAVES = [20, 40, 80, 160, 315, 630, 1250, 2500, 5000, 10_000, 20_000];

/** One level at each frequency of the band, on one channel. */
const band = (power_W: number, percent: number, extra: Partial<Step> = {}): Step[] =>
  OCTAVES.map((nominal_Hz) => ({
    step: 'band',
    kind: 'sweep',
    nominal_Hz,
    trials: [{ power_W, percent }],
    ...extra,
  }));

describe('a verdict under the claimed conditions', () => {
  /** U is 1 % of the power, so the power that lies m U from the claim is 100 / (1 - 0.01 m). */
  it.each([
    [-2, 'not met'],
    [-1, 'inconclusive'],
    [0, 'inconclusive'],
    [1, 'met'],
    [2, 'met'],
  ])('is at a margin of %d U: %s', (margin, expected) => {
    const found = judged(CLAIM, climbs(climbTo(100 / (1 - 0.01 * margin), 1)));
    expect(found.verdict).toBe(expected);
    expect(found.margin_W! / found.deciding!.uncertainty_W!).toBeCloseTo(margin, 9);
  });

  it('names margin, deciding point, rule and probability', () => {
    const found = judged(CLAIM, climbs(climbTo(104, 1)));
    expect(found).toMatchObject({
      verdict: 'met',
      required_W: 100,
      restated: [],
      as_restated: null,
      deciding: { channel: 1, load_ohm: 8, limit_percent: 1, measure: 'THD+N', power_W: 104, bound: 'found' },
    });
    expect(found.reason).toBe('Met. Measured 104.0 W ± 1.0 W at 1 kHz (channel 1).');
    expect(found.margin_W).toBeCloseTo(4, 12);
    expect(found.margin_dB).toBeCloseTo(10 * Math.log10(1.04), 12);
    // 4 W over a standard uncertainty of 0.52 W: 7.69 of them.
    expect(found.conformance).toBeCloseTo(1, 9);
    expect(found.rule).toContain('JCGM 106:2012');
    expect(found.taken).toContain('THD or THD+N not stated: assumed THD+N');
  });

  it('is inconclusive by a load that is off its nominal value, and names both figures', () => {
    const run = climbs(climbTo(150, 1));
    const readings = run.readings.map((reading) => ({
      ...reading,
      load_measured_ohm: 6.9,
      flags: ['load-off-nominal' as const],
    }));
    const found = judged(CLAIM, { ...run, readings });
    expect(found.verdict).toBe('inconclusive');
    expect(found.reason).toContain('the 8 ohm load measures 6.9 ohm, 14 % less');
    const told = judgeRun({ ...run, readings }).conclusions.map(({ sentence }) => sentence);
    expect(told).toContain(
      'Channel 1: the 8 ohm load measures 6.9 ohm, 14 % less. Its powers are powers into 6.9 ohm.',
    );
    expect(told.join(' ')).not.toContain('Rating');
  });

  it('goes by the weakest channel', () => {
    const strong = climbTo(110, 1, { channel: 1 });
    const weak = climbTo(97, 1, { channel: 2 });
    const found = judged(CLAIM, climbs(strong, weak));
    expect(found).toMatchObject({ verdict: 'not met', deciding: { channel: 2, power_W: 97 } });
  });

  it('that states no distortion is judged at the loosest limit of the run, and that is said', () => {
    const open = '100 W, 8 ohm, 1 kHz, 2 channels';
    expect(judged(open, climbs(climbTo(150, 1))).verdict).toBe('met');
    const missed = judged(open, climbs(climbTo(80, 1)));
    expect(missed).toMatchObject({ verdict: 'not met', as_restated: null, deciding: { power_W: 80 } });
    expect(missed.reason).toBe(
      'Not met. Measured 80.0 W ± 0.8 W at 1 kHz (channel 1). Assumed: 1 % THD+N (not stated).',
    );
  });

  it('that states no distortion is not missed at a limit stricter than is customary', () => {
    const missed = judged('100 W, 8 ohm, 1 kHz, 2 channels', climbs(climbTo(80, 0.1)));
    expect(missed).toMatchObject({ verdict: 'inconclusive', as_restated: null, deciding: { power_W: 80 } });
    expect(missed.reason).toContain('the claim states no distortion and may mean more than 0.1 %');
  });

  it('that states no load is judged into the one load of the run, and that is said', () => {
    const found = judged('100 W, 1 %, 1 kHz, 2 channels', climbs(climbTo(104, 1)));
    expect(found.verdict).toBe('met');
    expect(found.reason).toBe(
      'Met. Measured 104.0 W ± 1.0 W at 1 kHz (channel 1). Assumed: 8 ohm (not stated).',
    );
    expect(found.claim.load_ohm).toBeNull();
  });

  it('that states nothing but watts is met by a level held without a limit, but not missed by it', () => {
    const held = (power_W: number, percent: number) =>
      judged(
        '100 W',
        madeRun([{ step: 'hold', kind: 'sweep', nominal_Hz: 1000, trials: [{ power_W, percent }] }], []),
      );
    expect(held(102, 0.99).verdict).toBe('met');
    expect(held(102, 0.99).reason).toContain('Assumed: 8 ohm, 1 % THD+N, 1 kHz (not stated).');
    expect(held(98, 3).verdict).toBe('inconclusive');
  });

  it('cannot be told when nobody states an uncertainty', () => {
    const found = judged(CLAIM, climbs(climbTo(150, 1, { share: null })));
    expect(found.verdict).toBe('inconclusive');
    expect(found.reason).toContain('no uncertainty is stated, so this cannot be decided');
  });

  it('reads a distortion that no step marked off the curve', () => {
    // Between 0.9 % at 99.5 W and 1.1 % at 100.5 W lies 0.95 %: a straight line in log against log.
    const run = climbs(climbTo(100, 1));
    const found = judged('90 W, 8 ohm, 0.95 %, 1 kHz, 2 channels', run);
    const share = Math.log(0.95 / 0.9) / Math.log(1.1 / 0.9);
    expect(found.deciding!.power_W).toBeCloseTo(99.5 * (100.5 / 99.5) ** share, 9);
    expect(found.verdict).toBe('met');
  });

  it('holds a claim of THD against THD, not THD+N', () => {
    const step: Step = {
      step: 'climb',
      kind: 'climb',
      nominal_Hz: 1000,
      trials: [
        { power_W: 50, percent: 0.2, thd_percent: 0.01 },
        { power_W: 110, percent: 0.2, thd_percent: 0.09 },
        { power_W: 111, percent: 0.3, thd_percent: 0.11 },
      ],
    };
    expect(judged('100 W, 8 ohm, THD 0.1 %, 1 kHz, 2 channels', madeRun([step])).verdict).toBe('met');
    expect(judged('100 W, 8 ohm, THD+N 0.1 %, 1 kHz, 2 channels', madeRun([step])).verdict).toBe('not met');
  });

  it('takes a level held far below the limit as met: the limit lies at least as much higher as for an ideal clipper', () => {
    const climb: Step = {
      step: 'climb',
      kind: 'climb',
      nominal_Hz: 1000,
      trials: [
        { power_W: 104, percent: 0.3 },
        { power_W: 106, percent: 2 },
      ],
    };
    const found = judged(
      '100 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels',
      madeRun([...band(100, 0.01), climb]),
    );
    expect(found).toMatchObject({ verdict: 'met', deciding: { bound: 'at-least' } });
    expect(found.deciding!.inferred).toContain('ideal clipper');
    // Onset to 1 %: at most 4.7506 %, a little less from 0.01 %.
    expect(found.deciding!.power_W).toBeGreaterThan(104);
    expect(found.deciding!.power_W).toBeLessThan(104.7506);
  });

  it('reads no more into a level than the channel was seen to deliver', () => {
    const found = judged('100 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels', madeRun(band(100, 0.01)));
    expect(found).toMatchObject({ verdict: 'inconclusive', deciding: { power_W: 100, bound: 'at-least' } });
  });

  it('takes a level far above the limit at the claimed power as not met', () => {
    const found = judged('100 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels', madeRun(band(100, 3)));
    expect(found).toMatchObject({ verdict: 'not met', deciding: { bound: 'at-most' } });
  });

  it('cannot tell when the level at the claimed power is at the limit', () => {
    expect(judged('100 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels', madeRun(band(100, 0.98))).verdict).toBe(
      'inconclusive',
    );
  });

  it('never calls a distortion low whose harmonics lie outside the band', () => {
    const blind = madeRun(band(100, 0.01, { flags: ['harmonics-out-of-band'] }));
    const found = judged('90 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels', blind);
    expect(found.verdict).toBe('inconclusive');
    expect(found.reason).toContain('harmonics lie outside the measuring band');
  });

  it('cannot tell by readings that were not as before, whichever way they point', () => {
    for (const percent of [0.01, 3]) {
      const changed = madeRun(band(100, percent, { flags: ['not-as-before'] }));
      const found = judged('90 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels', changed);
      expect(found.verdict).toBe('inconclusive');
      expect(found.reason).toContain('the channel did not give there what it had given before');
    }
  });

  it('does not take noise at low level for a limit of power', () => {
    const low: Step = {
      step: 'low',
      kind: 'sweep',
      nominal_Hz: 1000,
      trials: [{ power_W: 0.25, percent: 2 }],
    };
    const { step, result } = climbTo(110, 1);
    expect(judged(CLAIM, madeRun([step, low], [result])).verdict).toBe('met');
  });

  it('counts a level in between where the claim says from which level on it holds', () => {
    const low: Step = {
      step: 'low',
      kind: 'sweep',
      nominal_Hz: 1000,
      trials: [{ power_W: 0.25, percent: 2 }],
    };
    const { step, result } = climbTo(110, 1);
    const found = judged('250 mW to 100 W, 8 ohm, 1 %, 1 kHz, 2 channels', madeRun([step, low], [result]));
    expect(found).toMatchObject({ verdict: 'not met', deciding: { step: 'low' } });
  });
});

describe('what a run did not try', () => {
  it.each<[string, string, Verdict['verdict'], string]>([
    ['a bridged unit', '100 W, 8 ohm, 1 %, bridged', 'not tested', 'whether channels were bridged'],
    [
      'the band',
      '100 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels',
      'not tested',
      'Not measured at 20 Hz and 20 kHz',
    ],
    ['the duration', `${CLAIM}, 5 min`, 'not tested', 'Not measured at 1 kHz for 300 s'],
    ['the frequency', '100 W, 8 ohm, 1 %, 50 Hz, 2 channels', 'not tested', 'Not measured at 50 Hz'],
    [
      'the lower levels',
      '10 mW to 100 W, 8 ohm, 1 %, 1 kHz, 2 channels',
      'not tested',
      'Not measured down to 10 mW',
    ],
    [
      'bursts',
      '150 W dynamic, 8 ohm, 1 %, 1 kHz, 2 channels',
      'not tested',
      'dynamic power was not measured, only continuous power',
    ],
  ])('%s: %j', (_, text, expected, reason) => {
    const found = judged(text, climbs(climbTo(110, 1)));
    expect(found.verdict).toBe(expected);
    expect(found.reason).toContain(reason);
  });

  it('a load that neither the claim states nor the run leaves no doubt of', () => {
    const found = judged('100 W', climbs(climbTo(110, 1), climbTo(190, 1, { load_ohm: 4 })));
    expect(found.verdict).toBe('not tested');
    expect(found.reason).toBe(
      'Not tested. The claim states no load, and the run has several (8 ohm, 4 ohm).',
    );
  });

  it('a power far above all levels at that frequency, which is not called untried as such', () => {
    const five: Step = {
      step: 'five',
      kind: 'sweep',
      nominal_Hz: 1000,
      trials: [{ power_W: 5, percent: 0.1 }],
    };
    const found = judged('50 W, 8 ohm, 1 %, 1 kHz, 2 channels', madeRun([five], []));
    expect(found.not_tested).toContain('not measured near 50 W at 1 kHz');
  });

  it('still fails a claim over a band at the frequency that was tried', () => {
    const found = judged('100 W, 8 ohm, 1 %, 20 Hz to 20 kHz, 2 channels', climbs(climbTo(90, 1)));
    expect(found.verdict).toBe('not met');
  });

  it('fails a claim that lies far above what a climb found', () => {
    expect(judged('300 W, 8 ohm, 1 %, 1 kHz, 2 channels', climbs(climbTo(90, 1))).verdict).toBe('not met');
  });

  it('meets a claim of dynamic power by continuous power', () => {
    expect(judged('100 W dynamic, 8 ohm, 1 %, 1 kHz, 2 channels', climbs(climbTo(110, 1))).verdict).toBe(
      'met',
    );
  });

  it('meets a claim for a time by a hold of that time only', () => {
    const hold: Step = {
      step: 'hold',
      kind: 'hold',
      nominal_Hz: 1000,
      trials: [0, 1, 2].map(() => ({ power_W: 102, percent: 0.02 })),
    };
    const result = (seconds: number): HoldResult =>
      ({
        ...{
          kind: 'hold',
          step: 'hold',
          channel: 1,
          driven: [1, 2],
          load_ohm: 8,
          frequency_Hz: 1000.5,
          seconds,
        },
        ...{
          first_W: 102,
          last_W: 102,
          least_W: 102,
          dip_dB: 0,
          most_thdn_percent: 0.02,
          most_dc_V: 0,
          note: '',
        },
      }) as const;
    expect(judged(`${CLAIM}, 5 min`, madeRun([hold], [result(300)])).verdict).toBe('met');
    expect(judged(`${CLAIM}, 5 min`, madeRun([hold], [result(60)])).verdict).toBe('not tested');
  });
});

describe('a verdict on other terms than the claimed ones', () => {
  /**
   * Load and channels driven of the run, power found; the claim is 100 W, 8 ohm, 2 channels. Into less impedance the
   * same voltage asks more of the unit, into more less: only what follows counts.
   */
  it.each<[number, readonly number[], number, Verdict['verdict'], Verdict['verdict']]>([
    [4, [1, 2], 210, 'met', 'met'],
    [4, [1, 2], 190, 'inconclusive', 'not met'],
    [16, [1, 2], 55, 'inconclusive', 'met'],
    [16, [1, 2], 45, 'not met', 'not met'],
    [8, [1, 2, 3], 105, 'met', 'met'],
    [8, [1, 2, 3], 95, 'inconclusive', 'not met'],
    [8, [1], 105, 'inconclusive', 'met'],
    [8, [1], 95, 'not met', 'not met'],
    // Less impedance and fewer channels: one harder, one easier, so nothing follows.
    [4, [1], 210, 'inconclusive', 'met'],
    [4, [1], 190, 'inconclusive', 'not met'],
  ])('%d ohm, channels %j, %d W: %s (%s as restated)', (load_ohm, driven, power_W, expected, plain) => {
    const found = judged(CLAIM, climbs(climbTo(power_W, 1, { load_ohm, driven })));
    expect(found.verdict).toBe(expected);
    expect(found.as_restated).toBe(plain);
    expect(found.restated.map(({ what }) => what)).toEqual(
      load_ohm === 8 ? [] : [`same voltage into ${load_ohm} ohm`],
    );
    expect(found.not_tested.length).toBeGreaterThan(0);
  });

  it('restates 200 W at 6 ohm to 150 W at 8 ohm', () => {
    const found = judged('200 W, 6 ohm, 1 %, 1 kHz, 2 channels', climbs(climbTo(140, 1)));
    expect(found.verdict).toBe('not met');
    expect(found.required_W).toBeCloseTo(150, 9);
    expect(found.not_tested).toContain('no load of 6 ohm as claimed');
  });

  it('says where the conditions asked more than the claim does', () => {
    const found = judged('120 W, 8 ohm, 1 %, 1 kHz, 1 channel', climbs(climbTo(104, 1)));
    expect(found.reason).toBe(
      'Inconclusive. Measured 104.0 W ± 1.0 W at 1 kHz (channel 1); that was with 8 ohm, 2 channels driven, which asks more of the unit than the claim does.',
    );
    expect(found.not_tested).toEqual(['not with 1 channel driven as claimed, but with 2']);
  });

  it('prefers the claimed conditions to any others', () => {
    const run = climbs(climbTo(105, 1), climbTo(150, 1, { load_ohm: 4 }));
    expect(judged(CLAIM, run)).toMatchObject({ verdict: 'met', deciding: { load_ohm: 8 }, restated: [] });
  });

  it('takes all channels as the most that the run drove, and says so', () => {
    const run = climbs(climbTo(120, 1, { driven: [1] }), climbTo(105, 1, { driven: [1, 2] }));
    const found = judged('100 W, 8 ohm, 1 %, 1 kHz, all channels', run);
    expect(found).toMatchObject({ verdict: 'met', deciding: { power_W: 105 } });
    expect(found.taken).toContain('all channels: taken as 2, the most that the run drove at once');
  });

  it('takes what is left open in favour of the claim: the fewest channels driven', () => {
    const run = climbs(climbTo(120, 1, { driven: [1] }), climbTo(95, 1, { driven: [1, 2] }));
    const found = judged('100 W, 8 ohm, 1 %, 1 kHz', run);
    expect(found.verdict).toBe('met');
    expect(found.taken).toContain(
      'channels driven not stated: taken as 1 channel driven, the fewest of the run',
    );
  });

  it('shares the power of all channels together among them, and fails it only where all fail', () => {
    const text = '200 W total, 8 ohm, 1 %, 1 kHz, 2 channels';
    const at = (one: number, two: number) =>
      climbs(climbTo(one, 1, { channel: 1 }), climbTo(two, 1, { channel: 2 }));
    expect(judged(text, at(105, 104)).verdict).toBe('met');
    expect(judged(text, at(90, 130)).verdict).toBe('inconclusive');
    expect(judged(text, at(90, 91)).verdict).toBe('not met');
  });
});

describe('uncertainty', () => {
  const order = { met: 0, inconclusive: 1, 'not met': 0, 'not tested': 1 } as const;

  it('never turns a verdict into a surer one when it grows, nor into met', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 80, max: 125, noNaN: true }),
        fc.double({ min: 0, max: 0.2, noNaN: true }),
        fc.double({ min: 1, max: 5, noNaN: true }),
        fc.constantFrom(4, 8, 16),
        (power_W, share, growth, load_ohm) => {
          const at = (u: number) =>
            judged(CLAIM, climbs(climbTo((power_W * 8) / load_ohm, 1, { share: u, load_ohm }))).verdict;
          const [before, after] = [at(share), at(share * growth)];
          expect(order[after]).toBeGreaterThanOrEqual(order[before]);
          if (after === 'met') expect(before).toBe('met');
          if (after === 'not met') expect(before).toBe('not met');
        },
      ),
      { seed: 19, numRuns: 500 },
    );
  });
});
