import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { SurveyedBench } from '../../src/calibration/chain.js';
import { type Headroom, headroom, nearestPreferred } from '../../src/calibration/headroom.js';
import { limits } from '../../src/measure/budget.js';
import { plainChain, plainLoad } from './plain-chain.js';

/** Invented: 2 V rms at either converter, a tap of 25, 8 ohm of 250 W. */
function bench(
  changes: Partial<SurveyedBench> = {},
  chain: Parameters<typeof plainChain>[1] = {},
): SurveyedBench {
  return {
    kind: 'audio',
    rate_Hz: 192_000,
    channels: [
      plainChain(1, {
        outputFullScale_Vpk: 2 * Math.SQRT2,
        inputFullScale_Vpk: 2 * Math.SQRT2,
        attenuator_ratio: 25,
        attenuatorRating_Vpk: 150,
        loads: [plainLoad(8)],
        ...chain,
      }),
    ],
    assumedGain_dB: 40,
    floor: { kind: 'stated', thdn_percent: 0.0005 },
    clockLimits_ppm: null,
    day: '2026-06-15',
    ...changes,
  };
}

function at(power_W: number, on = bench()): Headroom {
  return headroom(on, { power_W, load_ohm: 8 })[0]!;
}

describe('headroom for 150 W into 8 ohm', () => {
  // 150 W into 8 ohm: 34.641 V rms, 48.990 V peak; divided by 25: 1.9596 V peak, of 2.8284 V: -3.1876 dB.
  const room = at(150);

  it('gives the level at the converter at the knee and half a decibel above it', () => {
    expect(room.knee_Vrms).toBeCloseTo(Math.sqrt(1200), 10);
    expect(room.kneeLevel_dB).toBeCloseTo(20 * Math.log10(Math.sqrt(2400) / (50 * Math.SQRT2)), 10);
    expect(room.kneeLevel_dB).toBeCloseTo(-3.1876, 4);
    expect(room.topLevel_dB).toBeCloseTo(-2.6876, 4);
    // 0.5 dB is 12.2018 % of power.
    expect(room.top_W).toBeCloseTo(168.3028, 4);
  });

  it('gives the ratios that keep the converter between -12 and -1 dB', () => {
    // 48.990 V / 2.8284 V = 17.3205; times 10^(1/20) = 19.4339 and times 10^(12/20) = 68.9542.
    expect(room.ratioRange[0]).toBeCloseTo(19.4339, 3);
    expect(room.ratioRange[1]).toBeCloseTo(68.9542, 3);
    expect(room).toMatchObject({ ratioFits: true, preferredRatio: 25 });
  });

  it('gives the drive that a unit of the assumed gain needs, and the least gain', () => {
    // At the top: 48.990 V x 10^(0.5/20) = 51.8926 V peak, 36.6936 V rms: 0.366936 V before 40 dB; 25.27 dB over 2 V.
    expect(room.drive_Vrms).toBeCloseTo(0.366936, 6);
    expect(room.drive_dB).toBeCloseTo(-14.7288, 3);
    expect(room.leastGain_dB).toBeCloseTo(25.2712, 3);
  });

  it('sees 0.1 % and stands it', () => {
    expect(room).toMatchObject({
      seesMark: true,
      inputReads: true,
      attenuatorStands: true,
      loadStands: 'always',
    });
    // 6 dB above the floor: 0.0005 % x 1.99526.
    expect(room.visible).toEqual([
      { frequency_Hz: 1000, floor_percent: 0.0005, least_percent: expect.closeTo(0.00099763, 8) },
    ]);
  });
});

describe('headroom', () => {
  it('advises a preferred ratio on either side of what does not fit, as near to it as it may be', () => {
    expect(at(150, bench({}, { attenuator_ratio: 10 }))).toMatchObject({
      ratioFits: false,
      preferredRatio: 25,
    });
    expect(at(150, bench({}, { attenuator_ratio: 200 }))).toMatchObject({
      ratioFits: false,
      preferredRatio: 63,
    });
    // At 20 the knee is within -1 dB, and 1 % is not.
    expect(at(150, bench({}, { attenuator_ratio: 20 }))).toMatchObject({
      ratioFits: false,
      preferredRatio: 25,
    });
  });

  it('knows no attenuator for a unit that is too weak for a bare input', () => {
    const room = at(0.001);
    expect(room.ratioRange[1]).toBeLessThan(1);
    expect(room.preferredRatio).toBeNull();
  });

  it('keeps every advised ratio within -12 and -1 dB, from the knee to 1 %', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 20_000, noNaN: true }),
        fc.double({ min: 1, max: 2000, noNaN: true }),
        (power_W, present) => {
          const ratio = at(power_W, bench({}, { attenuator_ratio: present })).preferredRatio;
          if (ratio === null) return false;
          const there = at(power_W, bench({}, { attenuator_ratio: ratio }));
          return there.ratioFits && there.kneeLevel_dB >= -12 && there.topLevel_dB <= -1;
        },
      ),
      { seed: 3, numRuns: 300 },
    );
  });

  it('does not see 0.1 % where the floor is within 6 dB of it', () => {
    const withFloor = (thdn_percent: number) => bench({ floor: { kind: 'stated', thdn_percent } });
    expect(at(150, withFloor(0.05)).seesMark).toBe(true);
    expect(at(150, withFloor(0.0502)).seesMark).toBe(false);
  });

  it('does not see 0.1 % at a power that overfills the input', () => {
    // Full scale is 70.71 V peak, 312.5 W.
    expect(at(312)).toMatchObject({ seesMark: true, inputReads: false });
    expect(at(313)).toMatchObject({ seesMark: false, inputReads: false });
  });

  it('cannot say whether it sees 0.1 % when nobody stated the floor', () => {
    expect(at(150, bench({ floor: null }))).toMatchObject({ seesMark: null, visible: [] });
  });

  it('reads a measured floor at the level of the knee, and names the frequencies that leave less to see', () => {
    const points = [
      { frequency_Hz: 20, level_dB: -3.1876, thdn_percent: 0.002 },
      { frequency_Hz: 1000, level_dB: -43.1876, thdn_percent: 0.04 },
      { frequency_Hz: 1000, level_dB: -3.1876, thdn_percent: 0.0004 },
      { frequency_Hz: 5000, level_dB: -3.1876, thdn_percent: 0.0003 },
      { frequency_Hz: 20_000, level_dB: -3.1876, thdn_percent: 0.08 },
    ];
    const measured = bench({ floor: { kind: 'measured', points } });
    expect(at(150, measured).visible.map(({ frequency_Hz }) => frequency_Hz)).toEqual([1000, 20, 20_000]);
    expect(at(150, measured).visible[0]!.floor_percent).toBeCloseTo(0.0004, 6);
    // 20 dB down lies halfway between the two levels in the logarithm: sqrt(0.04 x 0.0004) = 0.004.
    expect(at(1.5, measured).visible[0]!.floor_percent).toBeCloseTo(0.004, 5);
  });

  it.each([
    [200, 250, 250, 'always'],
    [240, 250, 400, 'seconds'],
    [400, 250, 400, 'never'],
  ] as const)(
    '%i W on a load of %i W (%i W short) is stood: %s',
    (power_W, rating_W, shortRating_W, stood) => {
      const loads = [plainLoad(8, { rating_W, shortRating_W })];
      expect(at(power_W, bench({}, { loads })).loadStands).toBe(stood);
    },
  );

  it('holds the attenuator to the peak at 1 %', () => {
    expect(at(150, bench({}, { attenuatorRating_Vpk: 51.9 })).attenuatorStands).toBe(true);
    expect(at(150, bench({}, { attenuatorRating_Vpk: 51.8 })).attenuatorStands).toBe(false);
  });

  it('gives U of the power in watts when everything is stated', () => {
    expect(at(150).uncertainty_W).toBeNull();
    const loads = [plainLoad(8, { stated: [limits('load', 0.5)] })];
    const stated = { inputStated: [limits('gain', 0.3)], attenuatorStated: [limits('ratio', 0.2)], loads };
    // 2 x sqrt(0.256667) % of 150 W.
    expect(at(150, bench({}, stated)).uncertainty_W).toBeCloseTo(1.519868, 5);
  });

  it('leaves out channels that do not have the load', () => {
    const channels = [...bench().channels, plainChain(2, { loads: [plainLoad(4)] })];
    expect(headroom(bench({ channels }), { power_W: 10, load_ohm: 4 }).map(({ channel }) => channel)).toEqual(
      [2],
    );
  });
});

describe('nearestPreferred', () => {
  it.each([
    // ISO 3, R10 (from memory): 1 1.25 1.6 2 2.5 3.15 4 5 6.3 8.
    [26, 1, 1000, 25],
    [29, 1, 1000, 31.5],
    [5, 10, 70, 10],
    [500, 10, 70, 63],
    [0.5, 0.2, 4, 1],
    [11, 10.5, 12, null],
  ])('of %d within %d and %d is %s', (value, least, most, preferred) => {
    expect(nearestPreferred(value, least, most)).toBe(preferred);
  });
});
