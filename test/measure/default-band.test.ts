import { describe, expect, it } from 'vitest';
import { bandFlags, bandFor, defaultBand, usableTop_Hz } from '../../src/measure/default-band.js';
import { ordersInBand } from '../../src/measure/parts.js';

describe('defaultBand', () => {
  it.each([
    [20, 48_000, 20_000],
    [6000, 192_000, 20_000],
    [6001, 192_000, 80_000],
    [20_000, 192_000, 80_000],
    [10_000, 96_000, 96_000 * (20 / 44.1)],
    [20_000, 48_000, 48_000 * (20 / 44.1)],
    [1000, 44_100, 20_000],
    [1000, 32_000, 32_000 * (20 / 44.1)],
  ])('of %f Hz at %d samples per second reaches %f Hz', (fundamental_Hz, rate_Hz, top_Hz) => {
    expect(defaultBand(fundamental_Hz, rate_Hz)).toEqual([20, top_Hz]);
  });

  it('holds the third harmonic of 20 kHz only from 192 kHz on', () => {
    expect(bandFlags(defaultBand(20_000, 192_000), 20_000)).toEqual([]);
    expect(bandFlags(defaultBand(20_000, 96_000), 20_000)).toEqual(['harmonics-out-of-band']);
    expect(bandFlags(defaultBand(20_000, 48_000), 20_000)).toEqual([
      'harmonics-out-of-band',
      'no-harmonic-in-band',
    ]);
  });
});

describe('harmonics in a band of 20 kHz', () => {
  // floor(20 kHz / f) - 1, arithmetic.
  it.each([
    [1000, 19],
    [5000, 3],
    [6600, 2],
    [10_000, 1],
    [10_000.1, 0],
    [1000.001, 19],
    [20, 19],
  ])('of %f Hz number %d', (fundamental_Hz, count) => {
    expect(ordersInBand([20, 20_000], fundamental_Hz)).toHaveLength(count);
  });
});

describe('bandFor', () => {
  it('keeps to half the rate when asked, and to what the converter can use when not', () => {
    expect(bandFor([100, 30_000], 1000, 48_000)).toEqual([100, 24_000]);
    expect(bandFor(null, 1000, 32_000)[1]).toBe(usableTop_Hz(32_000));
  });

  it('says what is wrong with an impossible band', () => {
    expect(() => bandFor([500, 100], 1000, 48_000)).toThrow(
      'the measuring band 500 Hz to 100 Hz is impossible. The lower limit must be 0 or more, below the upper one and below half the rate, 24000 Hz.',
    );
  });
});
