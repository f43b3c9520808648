import { describe, expect, it } from 'vitest';
import type { Reading } from '../../../src/record/run-record.js';
import { channelEnd, type SearchedTone, shortPlaces } from '../../../src/runner/causes/short-places.js';
import { invented } from '../../document/fixture.js';

const ANY = invented().readings[0]!;

/** Captures of a unit with a gain of 20 into 8 ohm that crosses 0.1 % between the two last of these powers. */
function searched(nominal_Hz: number, ...ceilings_W: number[]): SearchedTone {
  const tone = { nominal_Hz, frequency_Hz: nominal_Hz, cycles: 683, frames: 32_768, rate_Hz: 48_000 };
  const capture = (share: number, thdn_percent: number): Reading[] =>
    ceilings_W.map((power_W, i) => {
      const fundamental_V = Math.sqrt(8 * power_W * share);
      return {
        ...ANY,
        channel: i + 1,
        power_W: power_W * share,
        fundamental_V,
        gain_dB: 26.0206,
        thdn_percent,
      };
    });
  return { tone, readings: [capture(0.5, 0.01), capture(1.001, 0.11), capture(0.999, 0.09)] };
}

const at = (places: ReturnType<typeof shortPlaces>) => places.map((place) => place.searched.tone.nominal_Hz);

describe('channelEnd', () => {
  it('looks 0.4 dB above the capture that first passed the threshold', () => {
    const end = channelEnd(searched(1000, 100), 0, 0.1)!;
    expect(end.kind).toBe('found');
    expect(end.power_W).toBeCloseTo(100, 0);
    // sqrt(8 ohm * 100.1 W) / 20, and 0.4 dB.
    expect(end.output_V).toBeCloseTo((Math.sqrt(8 * 100.1) / 20) * 10 ** 0.02, 5);
  });

  it('looks at the lowest level where no level keeps the threshold', () => {
    const end = channelEnd(searched(1000, 100), 0, 0.005)!;
    expect(end).toMatchObject({ kind: 'never-kept', power_W: 50 });
    expect(end.output_V).toBeCloseTo(1, 5);
  });

  it('has nothing to look at where the threshold was not reached', () => {
    expect(channelEnd(searched(1000, 100), 0, 1)!.kind).toBe('not-reached');
  });
});

describe('shortPlaces', () => {
  it('are those more than 0.5 dB below the first: 100 W against 89.5 W (0.48 dB) and 88.5 W (0.53 dB)', () => {
    const places = shortPlaces([searched(1000, 100), searched(40, 89.5), searched(20, 88.5)], 0.1);
    expect(at(places)).toEqual([20]);
    expect(places[0]!.short_dB.get(0)).toBeCloseTo(10 * Math.log10(100 / 88.5), 6);
  });

  it('are no more than six, the ends and the worst among them', () => {
    const many = Array.from({ length: 20 }, (_, i) => searched(2000 + 500 * i, i === 7 ? 40 : 80));
    const places = shortPlaces([searched(1000, 100), ...many], 0.1);
    expect(places.length).toBeLessThanOrEqual(6);
    expect(at(places)).toEqual(expect.arrayContaining([2000, 5500, 11_500]));
  });

  it('take the weakest for channels that fall short alike, and any that fall short otherwise', () => {
    const first = searched(1000, 100, 100, 100, 100);
    const [place] = shortPlaces([first, searched(20, 80, 79, 81, 60)], 0.1);
    expect([...place!.short_dB.keys()]).toEqual([3, 1]);
  });

  it('are none where nothing was searched', () => {
    expect(shortPlaces([], 0.1)).toEqual([]);
  });
});
