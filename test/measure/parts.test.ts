import { describe, expect, it } from 'vitest';
import { bandPowers, bandRms } from '../../src/measure/parts.js';
import { periodic, RATE_HZ } from './signals.js';

/** Whole cycles, so that the mean square of a record is half its squared amplitude, and none of it is DC. */
const long = periodic({ cycles: 365, frames: 4096 }, Math.sin);
const short = periodic({ cycles: 91, frames: 1024 }, (x) => 3 * Math.sin(x));
const EVERYTHING = [0, RATE_HZ / 2] as const;

describe('bandPowers', () => {
  it('takes all of each record, however much longer than another', () => {
    // Parseval: zero padding adds no energy.
    const [first, second] = bandPowers([long, short], EVERYTHING, RATE_HZ);
    expect(first).toBeCloseTo(0.5, 9);
    expect(second).toBeCloseTo(4.5, 9);
    expect(bandPowers([short, long], EVERYTHING, RATE_HZ)[1]).toBeCloseTo(0.5, 9);
  });

  it('leaves out what lies beside the band', () => {
    // 365 cycles in 4096 frames are 4277 Hz.
    expect(bandPowers([long], [4200, 4400], RATE_HZ)[0]).toBeCloseTo(0.5, 9);
    expect(bandPowers([long], [100, 4200], RATE_HZ)[0]).toBeLessThan(1e-20);
    expect(bandPowers([long], [4400, 20_000], RATE_HZ)[0]).toBeLessThan(1e-20);
  });
});

describe('bandRms', () => {
  it('is the root of the mean of the powers of all records', () => {
    expect(bandRms([long, short], EVERYTHING, RATE_HZ)).toBeCloseTo(Math.sqrt(2.5), 9);
  });
});
