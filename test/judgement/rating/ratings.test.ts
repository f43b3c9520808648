import { describe, expect, it } from 'vitest';
import { ratings } from '../../../src/judgement/rating/ratings.js';
import type { CeilingResult, KneeResult } from '../../../src/record/old-results.js';
import { climbs, climbTo, madeRun, type Step } from '../made-run.js';

const OCTAVES = [20, 40, 80, 160, 315, 630, 1000, 2000, 4000, 8000, 16_000, 20_000];

interface Ceilings {
  readonly powerAt: (nominal_Hz: number) => number;
  readonly driven?: readonly number[];
  readonly load_ohm?: number;
  readonly channel?: number;
  readonly share?: number | null;
  readonly frequencies?: readonly number[];
}

/** Ceilings at 0.1 % of one channel over the band: results, and the readings around them. */
function ceilings({
  powerAt,
  driven = [1, 2],
  load_ohm = 8,
  channel = 1,
  share = 0.01,
  frequencies = OCTAVES,
}: Ceilings) {
  const step = `band-${load_ohm}-${driven.join('')}-${channel}`;
  const steps = frequencies.map(
    (nominal_Hz): Step => ({
      ...{ step, kind: 'max-power', nominal_Hz, driven, load_ohm, share },
      trials: [
        { power_W: powerAt(nominal_Hz) * 0.995, percent: 0.09, channel },
        { power_W: powerAt(nominal_Hz) * 1.005, percent: 0.11, channel },
      ],
    }),
  );
  const results = frequencies.map(
    (nominal_Hz): CeilingResult => ({
      ...{
        kind: 'ceiling',
        step,
        channel,
        driven,
        load_ohm,
        nominal_Hz,
        frequency_Hz: nominal_Hz * 1.0005,
      },
      ...{
        threshold_percent: 0.1,
        power_W: powerAt(nominal_Hz),
        bracket_dB: 0.04,
        captures: 3,
        flags: [],
        note: '',
      },
      uncertainty_W: share === null ? null : share * powerAt(nominal_Hz),
    }),
  );
  return { steps, results };
}

function runOf(...parts: readonly ReturnType<typeof ceilings>[]) {
  return madeRun(
    parts.flatMap(({ steps }) => steps),
    parts.flatMap(({ results }) => results),
  );
}

/** A supply that sags in the bass, a filter that gives up in the treble. */
const sagging = (nominal_Hz: number) => 100 - 400 / nominal_Hz - (nominal_Hz / 20_000) * 8;

describe('a power found at one frequency and checked a little below it at all others', () => {
  /** Found at 63 Hz, kept by a sweep at the others; a hold at 8 kHz lies within 1 % of a third of an octave. */
  const run = (checked_W: number) => {
    const { steps, results } = ceilings({ powerAt: () => 100, frequencies: [63.0957] });
    const swept = [...OCTAVES, 7943.28].map(
      (nominal_Hz): Step => ({
        ...{ step: nominal_Hz === 8000 ? 'held' : 'sweep', kind: nominal_Hz === 8000 ? 'hold' : 'sweep' },
        ...{ nominal_Hz, driven: [1, 2], load_ohm: 8, share: 0.001 },
        trials: [{ power_W: nominal_Hz === 8000 ? 80 : checked_W, percent: 0.06, channel: 1 }],
      }),
    );
    return ratings(madeRun([...steps, ...swept], results)).settings[0]!.ratings[0]!.band;
  };

  it('is the power over the band: the level kept everywhere, decided where it was found', () => {
    const band = run(99.7)!;
    expect(band.bound).toBe('found');
    expect([band.power_W, band.nominal_Hz]).toEqual([99.7, 63.0957]);
    // A reading at 63 Hz that keeps the limit up to 100 W says nothing against it.
    expect(band.here_W).toBe(100);
    // U of the search is 1 % of its power; what the check leaves open, 0.3 W, comes on top in quadrature.
    expect(band.uncertainty_W).toBeCloseTo(Math.hypot(1, 0.3), 6);
  });

  it('stays a lower bound where the check lies further below', () => {
    expect(run(95)).toMatchObject({ bound: 'at-least', power_W: 95 });
  });
});

describe('ratings', () => {
  it('give the least ceiling over the band with the frequency that decides, and the 1 kHz figure beside it', () => {
    const { settings } = ratings(runOf(ceilings({ powerAt: sagging })));
    const [rating] = settings[0]!.ratings;
    // 100 - 20 - 0.008 at 20 Hz.
    expect(rating!.band!.power_W).toBeCloseTo(79.992, 9);
    expect(rating!.band).toMatchObject({ frequency_Hz: 20 * 1.0005, channel: 1, bound: 'found' });
    expect(rating!.at_1kHz!.power_W).toBeCloseTo(100 - 0.4 - 0.4, 9);
    expect(rating!.untried).toEqual([]);
  });

  it('call the highest preferred number conservative that the guard band leaves', () => {
    // 79.992 W less 1 % is 79.19 W: below 80, so 71 W. Without uncertainty there is none.
    expect(ratings(runOf(ceilings({ powerAt: sagging }))).settings[0]!.ratings[0]!.conservative_W).toBe(71);
    const precise = runOf(ceilings({ powerAt: () => 100.2, share: 0.001 }));
    expect(ratings(precise).settings[0]!.ratings[0]!.conservative_W).toBe(100);
    const unstated = runOf(ceilings({ powerAt: sagging, share: null }));
    expect(ratings(unstated).settings[0]!.ratings[0]!.conservative_W).toBeNull();
  });

  it('go by the weakest channel at every frequency', () => {
    const both = runOf(
      ceilings({ powerAt: sagging, channel: 1 }),
      ceilings({ powerAt: () => 75, channel: 2 }),
    );
    expect(ratings(both).settings[0]!.ratings[0]!.band).toMatchObject({ channel: 2, power_W: 75 });
  });

  it('give no figure for a band of which a part was not tried, and name the part', () => {
    const partial = runOf(ceilings({ powerAt: sagging, frequencies: [40, 1000, 20_000] }));
    const [rating] = ratings(partial).settings[0]!.ratings;
    expect(rating).toMatchObject({ band: null, conservative_W: null, untried: ['not measured at 20 Hz'] });
    const holed = runOf(ceilings({ powerAt: sagging, frequencies: [20, 1000, 20_000] }));
    expect(ratings(holed).settings[0]!.ratings[0]!.untried).toEqual([
      '3 of 31 frequencies measured',
      'not measured between 20 Hz and 1 kHz, and between 1 kHz and 20 kHz',
    ]);
  });

  const swept = (percentAt: (nominal_Hz: number) => number): Step[] =>
    OCTAVES.map((nominal_Hz) => ({
      step: 'band',
      kind: 'sweep',
      nominal_Hz,
      trials: [{ power_W: 90, percent: percentAt(nominal_Hz) }],
    }));

  it('take a level that was swept within the limit as at least that power, and read nothing into it', () => {
    const climb = climbTo(100, 0.1);
    const rating = ratings(madeRun([...swept(() => 0.02), climb.step], [climb.result])).settings[0]!
      .ratings[0]!;
    expect(rating.band).toMatchObject({ power_W: 90, bound: 'at-least' });
    // 90 W less 1 % is 89.1 W.
    expect(rating.conservative_W).toBe(80);
  });

  it('are not made of a fixed level alone, however high: nobody looked where the limit is', () => {
    for (const rating of ratings(madeRun(swept(() => 0.02))).settings[0]!.ratings) {
      expect(rating).toMatchObject({ band: null, conservative_W: null });
      expect(rating.untried).toEqual([
        'only fixed levels were played: the power at this limit was not searched for',
      ]);
    }
  });

  it('give no rating where the limit was exceeded at every level played', () => {
    const climb = climbTo(100, 0.1);
    const steps = swept((nominal_Hz) => (nominal_Hz < 50 ? 0.5 : 0.02));
    const rating = ratings(madeRun([...steps, climb.step], [climb.result])).settings[0]!.ratings[0]!;
    expect(rating.band).toBeNull();
    expect(rating.untried).toEqual([
      'at 2 frequencies from 20 Hz to 40 Hz the limit was exceeded at every level played',
    ]);
  });

  it('leave out a sweep at a low level, which rates nothing', () => {
    const low = OCTAVES.map(
      (nominal_Hz): Step => ({
        step: 'low',
        kind: 'sweep',
        nominal_Hz,
        trials: [{ power_W: 0.25, percent: 0.05 }],
      }),
    );
    const { steps, results } = ceilings({ powerAt: sagging });
    const run = madeRun([...low, ...steps], results);
    expect(ratings(run).settings[0]!.ratings[0]!.band!.power_W).toBeCloseTo(79.992, 9);
  });

  it('leave it out at frequencies of its own as well', () => {
    const low = [25, 31.5, 12_500].map(
      (nominal_Hz): Step => ({
        step: 'low',
        kind: 'sweep',
        nominal_Hz,
        trials: [{ power_W: 0.25, percent: 0.05 }],
      }),
    );
    const noisy: Step = {
      step: 'noisy',
      kind: 'sweep',
      nominal_Hz: 50,
      trials: [{ power_W: 0.25, percent: 2 }],
    };
    const { steps, results } = ceilings({ powerAt: sagging });
    const [rating] = ratings(madeRun([...low, noisy, ...steps], results)).settings[0]!.ratings;
    expect(rating!.untried).toEqual([]);
    expect(rating!.band!.power_W).toBeCloseTo(79.992, 9);
  });

  const holdAt = (power_W: number): Step => ({
    step: `hold-${power_W}`,
    kind: 'hold',
    nominal_Hz: 1000,
    trials: [{ power_W, percent: 0.2 }],
  });

  it('give no more than the power at which a hold exceeded the limit', () => {
    const { steps, results } = ceilings({ powerAt: () => 100 });
    const [rating] = ratings(madeRun([...steps, holdAt(98)], results)).settings[0]!.ratings;
    expect(rating!.band).toMatchObject({ power_W: 98, nominal_Hz: 1000, bound: 'at-most' });
    expect(rating!.conservative_W).toBeNull();
  });

  it('are not made where a level far below exceeded the limit', () => {
    const { steps, results } = ceilings({ powerAt: () => 100 });
    const [rating] = ratings(madeRun([...steps, holdAt(70)], results)).settings[0]!.ratings;
    expect(rating).toMatchObject({ band: null, conservative_W: null });
    expect(rating!.untried).toEqual(['at 1 kHz on channel 1 the limit is exceeded at 70.0 W']);
  });

  it('are not made where a step kept the limit at the very power at which another exceeded it', () => {
    const { steps, results } = ceilings({ powerAt: () => 100 });
    const cold: Step = {
      step: 'cold',
      kind: 'climb',
      nominal_Hz: 1000,
      trials: [69, 71].map((power_W) => ({ power_W, percent: 0.01 })),
    };
    const run = madeRun([...steps, cold, holdAt(70)], results);
    const none = ratings({
      ...run,
      readings: run.readings.map((reading) => ({ ...reading, uncertainty_W: reading.power_W * 1e-3 })),
    });
    // 0.06 dB either side: within what a unit repeats to, so no contradiction, but exceeded all the same.
    expect(none.settings[0]!.ratings[0]!.band).toBeNull();
  });

  it('leave the band alone when only a hold outside of it passed the limit', () => {
    const { steps, results } = ceilings({ powerAt: () => 100 });
    const below = [
      { step: 'ten', kind: 'sweep', nominal_Hz: 10, trials: [{ power_W: 100, percent: 0.05 }] },
      { step: 'hold', kind: 'hold', nominal_Hz: 10, trials: [{ power_W: 10, percent: 0.2 }] },
    ] as const;
    const [rating] = ratings(madeRun([...steps, ...below], results)).settings[0]!.ratings;
    expect(rating!.untried).toEqual([]);
    expect(rating!.band).not.toBeNull();
  });

  it('are not drawn from a hold far below the levels that keep the limit, where distortion falls with level', () => {
    const five: Step = {
      step: 'five',
      kind: 'sweep',
      nominal_Hz: 1000,
      trials: [{ power_W: 5, percent: 0.7 }],
    };
    const hold: Step = {
      step: 'hold',
      kind: 'hold',
      nominal_Hz: 1000,
      trials: [{ power_W: 1, percent: 1.67 }],
    };
    const rating = ratings(madeRun([five, hold], [])).settings[0]!.ratings.find(
      ({ limit_percent }) => limit_percent === 1,
    )!;
    expect(rating).toMatchObject({ band: null, conservative_W: null });
    expect(rating.at_1kHz).toMatchObject({ power_W: 5, bound: 'at-least' });
    expect(rating.untried).toEqual(['at 1 kHz on channel 1 the limit is exceeded at 1.00 W']);
  });

  it('give the loss from fewer to more channels and the ratio between loads', () => {
    const run = runOf(
      ceilings({ powerAt: () => 110, driven: [1] }),
      ceilings({ powerAt: () => 100, driven: [1, 2] }),
      ceilings({ powerAt: () => 180, driven: [1, 2], load_ohm: 4 }),
    );
    const { by_driven, by_load, settings } = ratings(run);
    expect(settings.map(({ load_ohm, driven }) => [load_ohm, driven.length])).toEqual([
      [8, 1],
      [8, 2],
      [4, 2],
    ]);
    const lost = by_driven.filter(({ of }) => of === 'band');
    expect(lost.map(({ from, to }) => [from.driven, to.driven])).toEqual([[[1], [1, 2]]]);
    expect(lost[0]!.ratio_dB).toBeCloseTo(10 * Math.log10(100 / 110), 12);
    const ratio = by_load.filter(({ of }) => of === 'band');
    expect(ratio.map(({ from, to, ratio: r }) => [from.load_ohm, to.load_ohm, r])).toEqual([[8, 4, 1.8]]);
  });

  it('carry the knee that comes first', () => {
    const knee = (channel: number, power_W: number): KneeResult => ({
      ...{ kind: 'knee', step: 'climb', channel, driven: [1, 2], load_ohm: 8, frequency_Hz: 1000.5, power_W },
      ...{ plateau_percent: 0.003, governed_by: 'harmonics', hardness_dB: 0.17, note: '' },
    });
    const made = [climbTo(100, 0.1, { channel: 1 }), climbTo(99, 0.1, { channel: 2 })];
    const run = madeRun(
      made.map(({ step }) => step),
      [...made.map(({ result }) => result), knee(1, 92), knee(2, 91)],
    );
    expect(ratings(run).settings[0]!.knee).toMatchObject({ value: 91, setting: { channel: 2 } });
    expect(ratings(climbs(climbTo(100, 0.1))).settings[0]!.knee).toBeNull();
  });

  it('of a run without readings are none', () => {
    expect(ratings(madeRun([]))).toEqual({ mains_V: null, settings: [], by_driven: [], by_load: [] });
  });

  it('name no figure at 1 kHz for a limit that one of the channels kept at no level', () => {
    const at1kHz = (channel: number, percent: number): Step => ({
      ...{ step: 'climb-1k', kind: 'climb', nominal_Hz: 1000, driven: [1, 2], load_ohm: 8, share: 0.01 },
      trials: [1, 2, 5].map((power_W) => ({ power_W, percent, channel })),
    });
    const { settings } = ratings(madeRun([at1kHz(1, 0.05), at1kHz(2, 0.5)]));
    const [tenth, whole] = settings[0]!.ratings;
    expect([tenth!.limit_percent, tenth!.at_1kHz]).toEqual([0.1, null]);
    expect([whole!.limit_percent, whole!.at_1kHz?.power_W]).toEqual([1, 5]);
  });
});
