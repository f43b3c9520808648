import { describe, expect, it } from 'vitest';
import type { CalibrationRecord, SurveyedBench } from '../../src/calibration/chain.js';
import { readRecord } from '../../src/calibration/record-file.js';
import { powerUncertainty_percent, reachOf, survey } from '../../src/calibration/survey.js';
import { type Contribution, limits } from '../../src/measure/budget.js';
import { plainChain, plainLoad } from './plain-chain.js';

const normal = (standard_percent: number, freedom: number | null = null): Contribution => ({
  source: 'invented',
  type: 'B',
  distribution: 'normal',
  standard_percent,
  freedom,
});

/** Full scale is 100 V peak at the load. */
const chain = (channel = 1, changes: Parameters<typeof plainChain>[1] = {}) =>
  plainChain(channel, {
    outputFullScale_Vpk: 4,
    inputFullScale_Vpk: 4,
    attenuator_ratio: 25,
    attenuatorRating_Vpk: 200,
    loads: [plainLoad(8)],
    ...changes,
  });

const bench = (changes: Partial<SurveyedBench> = {}): SurveyedBench => ({
  kind: 'audio',
  rate_Hz: 48_000,
  channels: [chain()],
  assumedGain_dB: 40,
  floor: null,
  clockLimits_ppm: null,
  day: '2026-06-15',
  ...changes,
});

const record = (id: string, text: string): CalibrationRecord => readRecord(text, `${id}.yaml`, id).record;

describe('how far a channel reaches into a load', () => {
  it('is by P = V^2 / R of a sine at each limit', () => {
    const reach = reachOf(chain(), plainLoad(8, { rating_W: 250, shortRating_W: 700 }));
    // Full scale 100 V peak is 70.7 V rms, 625 W into 8 ohm; 200 V peak is 2500 W (Ohm and Joule).
    expect(reach.input_Vrms).toBeCloseTo(100 / Math.SQRT2, 12);
    expect(reach.input_W).toBeCloseTo(625, 10);
    expect(reach.attenuator_W).toBeCloseTo(2500, 9);
    expect(reach).toMatchObject({ continuous_W: 250, short_W: 700, decides: 'input' });
    expect(reach.most_W).toBeCloseTo(625, 10);
    expect(reach.most_Vrms).toBeCloseTo(100 / Math.SQRT2, 12);
  });

  it('uses the measured ohms, not the label', () => {
    expect(reachOf(chain(), plainLoad(8, { measured_ohm: 10 })).input_W).toBeCloseTo(500, 10);
  });

  it.each([
    ['load', plainLoad(8, { rating_W: 100 }), 200, 100],
    ['attenuator', plainLoad(8, { rating_W: 700 }), 80, 400],
    ['input', plainLoad(8, { rating_W: 700 }), 200, 625],
  ] as const)(
    'is decided by the %s when that lets the least through',
    (decides, load, rating_Vpk, most_W) => {
      const reach = reachOf(chain(1, { attenuatorRating_Vpk: rating_Vpk }), load);
      expect(reach.decides).toBe(decides);
      expect(reach.most_W).toBeCloseTo(most_W, 10);
    },
  );

  it('is listed for every load of every channel', () => {
    const channels = [chain(1, { loads: [plainLoad(8), plainLoad(4)] }), chain(2)];
    const found = survey(bench({ channels })).reaches.map(({ channel, load_ohm }) => [channel, load_ohm]);
    expect(found).toEqual([
      [1, 8],
      [1, 4],
      [2, 8],
    ]);
  });
});

describe('the uncertainty of a power that a bench promises', () => {
  // The worked case of the uncertainty facts without its repeatability: load 0.5 %, attenuator 0.2 %, gain 0.3 %, all
  // limits. Relative variances of the power in %^2: 0.0833333 + 0.0533333 + 0.12 (JCGM 100:2008, 5.1.2).
  const known = chain(1, { inputStated: [limits('gain', 0.3)], attenuatorStated: [limits('ratio', 0.2)] });
  const load = plainLoad(8, { stated: [limits('load', 0.5)] });

  it('counts volts twice and ohms once', () => {
    const variance = 0.25 / 3 + (4 * 0.04) / 3 + (4 * 0.09) / 3;
    expect(powerUncertainty_percent(known, load, 0)).toBeCloseTo(2 * Math.sqrt(variance), 12);
    expect(variance).toBeCloseTo(0.0833333 + 0.0533333 + 0.12, 6);
  });

  it('grows with the warmth of the load, whose correction is known within its limits', () => {
    // 50 ppm/K x 0.5 K/W x 100 W is 0.25 %, known to half of itself: 0.125 % limits, of the cold ohms. A room that is 5 K
    // warmer or colder than at the calibration makes another 50 ppm/K x 5 K.
    const warm = { ...load, tempco_per_K: 50e-6, heating_K_per_W: 0.5, warmingLimits: 0.5 };
    const variance =
      0.25 / 3 + (4 * 0.04) / 3 + (4 * 0.09) / 3 + ((0.125 / 1.0025) ** 2 + (0.025 / 1.0025) ** 2) / 3;
    expect(powerUncertainty_percent(known, warm, 100)).toBeCloseTo(2 * Math.sqrt(variance), 9);
  });

  it.each(['inputStated', 'attenuatorStated'] as const)('is not given when %s is missing', (part) => {
    expect(powerUncertainty_percent({ ...known, [part]: null }, load, 0)).toBeNull();
    expect(powerUncertainty_percent(known, { ...load, stated: null }, 0)).toBeNull();
  });
});

describe('what stands behind a bench', () => {
  const input = record(
    'in',
    'kind: input\nchannel: 1\nvalue: 2 V rms\nuncertainty: 0.1 %\ndate: 2025-06-14\ndue: 2026-06-14\n',
  );
  const eight = record(
    'eight',
    'kind: load\nchannel: 1\nnominal: 8 ohm\nvalue: 8.01 ohm\ndate: 2026-01-01\ndue: 2027-01-01\n',
  );
  const four = record(
    'four',
    'kind: load\nchannel: 1\nnominal: 4 ohm\nvalue: 4.01 ohm\ndate: 2026-01-01\ndue: 2026-12-01\n',
  );
  const loop = record('loop', 'kind: floor\nvalue: 0.0004 %\n');
  const found = survey(
    bench({
      channels: [
        chain(1, {
          loads: [plainLoad(8, { stated: [normal(0.05)] }), plainLoad(4)],
          inputStated: [normal(0.1)],
          attenuatorStated: [normal(0.3, 4)],
          records: [input, eight, four],
          response: {
            points: [
              { frequency_Hz: 20, level_dB: -0.1, uncertainty_dB: 0.02 },
              { frequency_Hz: 20_000, level_dB: -0.2, uncertainty_dB: 0.01 },
            ],
          },
        }),
      ],
      floor: { kind: 'stated', thdn_percent: 0.0004 },
      floorRecord: loop,
      clockLimits_ppm: 50,
    }),
  );
  const part = (kind: string, load_ohm: number | null = null) =>
    found.parts.find((one) => one.kind === kind && one.load_ohm === load_ohm)!;

  it('is told part by part in the order of the signal', () => {
    expect(found.parts.map(({ kind }) => kind)).toEqual([
      'output',
      'load',
      'load',
      'attenuator',
      'input',
      'response',
      'floor',
      'clock',
    ]);
  });

  it('gives U of each, with k = 2 or what few degrees of freedom ask for', () => {
    expect(part('input')).toMatchObject({ expanded_percent: 0.2, coverage_factor: 2 });
    expect(part('load', 8)).toMatchObject({ expanded_percent: 0.1 });
    // Student's t for 95.45 % and 4 degrees of freedom is 2.87 (JCGM 100:2008, table G.2, from memory).
    expect(part('attenuator').coverage_factor).toBeCloseTo(2.87, 2);
    expect(part('attenuator').expanded_percent).toBeCloseTo(0.3 * 2.87, 2);
    expect(part('response').expanded_dB).toBeCloseTo(0.04, 12);
    expect(part('clock').limits_ppm).toBe(50);
    expect(part('floor')).toMatchObject({ thdn_percent: 0.0004, record: { id: 'loop' } });
  });

  it('says of what nobody stated that it is not known', () => {
    for (const silent of [part('output'), part('load', 4)])
      expect(silent).toMatchObject({ expanded_percent: null, coverage_factor: null });
  });

  it('tells the records of several loads of a channel apart', () => {
    expect([part('load', 8).record?.id, part('load', 4).record?.id]).toEqual(['eight', 'four']);
  });

  it('knows what is overdue and when the first of the rest ends', () => {
    expect(found.parts.filter(({ overdue }) => overdue).map(({ record }) => record?.id)).toEqual(['in']);
    expect(found.holdsUntil).toBe('2026-12-01');
  });

  it('takes a record to hold on its last day', () => {
    const last = survey(bench({ day: '2026-06-14', channels: [chain(1, { records: [input] })] }));
    expect(last.parts.some(({ overdue }) => overdue)).toBe(false);
    expect(last.holdsUntil).toBe('2026-06-14');
  });

  it('has no end when no record has one', () => {
    expect(survey(bench()).holdsUntil).toBeNull();
  });

  it('does not ask a simulated interface for its clock', () => {
    expect(survey(bench({ kind: 'simulated' })).parts.map(({ kind }) => kind)).not.toContain('clock');
  });
});

describe('the highest tone with its third harmonic in the band', () => {
  it.each([
    [48_000, 7256.2],
    [192_000, 29_024.9],
  ])('at %i Hz is a third of 20/44.1 of the rate', (rate_Hz, top_Hz) => {
    expect(survey(bench({ rate_Hz })).thirdHarmonic_Hz).toBeCloseTo(top_Hz, 1);
  });
});
