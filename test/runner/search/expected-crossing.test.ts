import { describe, expect, it } from 'vitest';
import type { LevelSample } from '../../../src/runner/search/crossing-bracket.js';
import { curveAround, overBy_dB } from '../../../src/runner/search/expected-crossing.js';

/** One channel's captures: asked level in dBW, THD+N in percent. */
const captures = (pairs: readonly (readonly [number, number])[]): LevelSample[] =>
  pairs.map(([asked_dBW, thdn_percent]) => ({
    asked_dBW,
    readings: [{ channel: 1, power_W: 10 ** (asked_dBW / 10), thdn_percent }],
  }));

/** Noise falls with level; from 16 dBW on the unit clips. */
const CLIPPER = captures([
  [-6, 0.051],
  [-3, 0.04],
  [0, 0.03],
  [6, 0.012],
  [16.06, 0.007],
  [16.11, 0.022],
  [16.14, 0.057],
  [16.17, 0.115],
  [16.6, 1.4],
]);

describe('the rise around a crossing', () => {
  it('is made of the steep part alone: noise at low level is no part of it', () => {
    const curve = curveAround(CLIPPER, 0, 0.1, []);
    expect(curve.map(({ ratio }) => Number(ratio.toPrecision(3)))).toEqual([0.22, 0.57, 1.15, 14]);
    for (const { over_dB } of curve) expect(Math.abs(over_dB)).toBeLessThan(0.5);
  });

  it('lets a reading in the rise tell how far the crossing is', () => {
    const curve = curveAround(CLIPPER, 0, 0.1, []);
    // Straight in log THD+N between 0.022 % at 16.11 and 0.057 % at 16.14, the crossing by the next two points.
    const crossing = 16.14 + (0.03 * Math.log(0.1 / 0.057)) / Math.log(0.115 / 0.057);
    const at = 16.11 + (0.03 * Math.log(0.04 / 0.022)) / Math.log(0.057 / 0.022);
    expect(overBy_dB(curve, 0.4)).toBeCloseTo(at - crossing, 9);
  });

  it('tells nothing where THD+N is that of the flat part', () => {
    expect(overBy_dB(curveAround(CLIPPER, 0, 0.1, []), 0.07)).toBeNull();
  });

  it('goes on beyond its own ends by what was known before', () => {
    const known = [
      { over_dB: -0.2, ratio: 0.12 },
      { over_dB: 3, ratio: 40 },
    ];
    const curve = curveAround(CLIPPER, 0, 0.1, known);
    expect(curve[0]).toEqual(known[0]);
    expect(curve.at(-1)).toEqual(known[1]);
  });
});
