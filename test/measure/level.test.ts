import { describe, expect, it } from 'vitest';
import { levelOf } from '../../src/measure/level.js';
import { NonFiniteSamples } from '../../src/measure/measure-errors.js';
import { ONE_KILOHERTZ, periodic } from './signals.js';

describe('levelOf', () => {
  it('gives dc, peak and rms of a sine on an offset', () => {
    const level = levelOf(periodic(ONE_KILOHERTZ, (x) => 0.25 + 0.5 * Math.sin(x)));
    expect(level.dc).toBeCloseTo(0.25, 14);
    expect(level.peak).toBeCloseTo(0.75, 8);
    expect(level.rms).toBeCloseTo(Math.sqrt(0.25 ** 2 + 0.5 ** 2 / 2), 13);
  });

  // Crest factors: facts of the shapes, closed forms sqrt(2), 1, sqrt(3).
  it.each([
    ['sine', Math.SQRT2, (x: number) => Math.sin(x)],
    ['square', 1, (x: number) => (x < Math.PI ? 1 : -1)],
    ['triangle', Math.sqrt(3), (x: number) => 1 - (2 / Math.PI) * Math.abs(x - Math.PI)],
  ])('gives the crest factor of a %s', (_, expected, wave) => {
    expect(levelOf(periodic(ONE_KILOHERTZ, wave)).crest_factor).toBeCloseTo(expected, 4);
  });

  it('reads silence and an empty record as zero', () => {
    const nothing = { dc: 0, peak: 0, rms: 0, crest_factor: 0 };
    expect(levelOf(new Float64Array(10))).toEqual(nothing);
    expect(levelOf(new Float64Array(0))).toEqual(nothing);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])('refuses %s', (bad) => {
    const samples = Float64Array.of(0, 0.5, bad, 0, bad);
    const refused = () => levelOf(samples, 3);
    expect(refused).toThrow(NonFiniteSamples);
    expect(refused).toThrow(
      `channel 3, frame 2: the sample is ${bad}. Every sample must be a finite number.`,
    );
  });
});
