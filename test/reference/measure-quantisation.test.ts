import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import { quantise, seededRandom } from '../../src/signal/dither.js';
import { ONE_KILOHERTZ, periodic, RATE_HZ } from '../measure/signals.js';

function sinad_dB(samples: Float64Array): number {
  const options = { rate_Hz: RATE_HZ, tone: ONE_KILOHERTZ, band: [0, RATE_HZ / 2] as const };
  return analyse([samples], options)[0]!.sinad_dB;
}

/** Rounded to the grid of a converter, without dither. */
function rounded(bits: number): Float64Array {
  const most = 2 ** (bits - 1) - 1;
  return periodic(ONE_KILOHERTZ, (x) => Math.round(most * Math.sin(x)) / (most + 1));
}

/** Full-scale sine, band up to half the rate. Source: 6.020600 N + 1.760913 dB (IEEE Std 1241). */
describe('a rounded full-scale sine', () => {
  it.each([
    [16, 98.0905],
    [20, 122.1729],
    [24, 146.2553],
  ])('of %d bits reads %f dB within 0.2 dB', (bits, expected) => {
    expect(Math.abs(sinad_dB(rounded(bits)) - expected)).toBeLessThan(0.2);
  });
});

/** Triangular dither triples the noise power: 4.7712 dB less. Source: variance LSB^2 / 4 against LSB^2 / 12. */
describe('a dithered full-scale sine', () => {
  it.each([
    [16, 93.3193],
    [24, 141.4841],
  ])('of %d bits reads %f dB within 0.1 dB', (bits, expected) => {
    const fullScale = 1 - 4 / 2 ** bits;
    const samples = periodic(ONE_KILOHERTZ, (x) => fullScale * Math.sin(x));
    expect(Math.abs(sinad_dB(quantise(samples, bits, seededRandom(1))) - expected)).toBeLessThan(0.1);
  });
});
