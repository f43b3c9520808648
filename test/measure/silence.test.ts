import { describe, expect, it } from 'vitest';
import { silenceOf } from '../../src/measure/silence.js';

const RATE_Hz = 48_000;
const FRAMES = 2 ** 16;
const BAND_Hz = [20, 20_000] as const;

/** DC, lines of the given rms and hertz, and white noise of the given rms from a fixed seed. */
function record(dc: number, lines: readonly [frequency_Hz: number, rms: number][], noise = 0): Float64Array {
  let state = 12_345;
  const uniform = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
  return Float64Array.from({ length: FRAMES }, (_, n) => {
    const tones = lines.map(([f, rms]) => rms * Math.SQRT2 * Math.sin((2 * Math.PI * f * n) / RATE_Hz + 0.7));
    // A sum of three uniform numbers about zero has a variance of a quarter.
    const white = 2 * noise * (uniform() + uniform() + uniform() - 1.5);
    return dc + white + tones.reduce((sum, tone) => sum + tone, 0);
  });
}

describe('silenceOf', () => {
  it('takes DC, noise and hum apart', () => {
    // Lines of 3 mV at 100 Hz and 4 mV at 300 Hz: 5 mV together (root of the sum of squares).
    const found = silenceOf(
      record(0.05, [
        [100, 3e-3],
        [300, 4e-3],
      ]),
      RATE_Hz,
      BAND_Hz,
    );
    // Neither line has a whole number of cycles in the record: what is left of them shifts the mean by some microvolts.
    expect(Math.abs(found.dc - 0.05)).toBeLessThan(2e-5);
    expect(found.noise_rms).toBeCloseTo(5e-3, 4);
    expect(found.hum.mains_Hz).toBe(50);
    expect(found.hum.rms / 5e-3).toBeGreaterThan(0.95);
    expect(found.hum.rms / 5e-3).toBeLessThan(1.01);
  });

  it('tells 60 Hz from 50 Hz', () => {
    const found = silenceOf(record(0, [[120, 1e-3]]), RATE_Hz, BAND_Hz);
    expect(found.hum.mains_Hz).toBe(60);
    expect(found.hum.rms / 1e-3).toBeGreaterThan(0.95);
  });

  it('does not take a large DC for hum', () => {
    const found = silenceOf(record(10, []), RATE_Hz, BAND_Hz);
    expect(found.dc).toBeCloseTo(10, 9);
    expect(found.noise_rms).toBeLessThan(1e-9);
    expect(found.hum.rms).toBeLessThan(1e-9);
  });

  it('counts noise in its band only, and little of it as hum', () => {
    // White noise of 1 mV to 24 kHz has sqrt((20000 - 20) / 24000) of it in the band: 0.91242 mV.
    const found = silenceOf(record(0, [], 1e-3), RATE_Hz, BAND_Hz);
    expect(found.noise_rms / (1e-3 * Math.sqrt(19_980 / 24_000))).toBeGreaterThan(0.99);
    expect(found.noise_rms / (1e-3 * Math.sqrt(19_980 / 24_000))).toBeLessThan(1.01);
    // Ten stretches of 8 Hz out of 24 kHz: sqrt(80 / 24000) = 5.8 % of it.
    expect(found.hum.rms / 1e-3).toBeGreaterThan(0.04);
    expect(found.hum.rms / 1e-3).toBeLessThan(0.08);
  });

  it('leaves a carrier above the band out', () => {
    expect(silenceOf(record(0, [[22_000, 0.5]]), RATE_Hz, BAND_Hz).noise_rms).toBeLessThan(2e-3);
  });
});
