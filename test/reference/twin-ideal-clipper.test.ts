/*
 * The reference clipper against closed forms: a sine of peak k limited at +-1 (Fourier series of the clipped
 * sine), 100 W at the onset in 8 ohm, so P = 100 W P/P0.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { powerAt, spectraOf } from '../../src/measure/fft.js';
import { atThdn, TwinStand, watts } from '../bench/simulated/twin-stand.js';

const IDEAL = readFileSync(new URL('../../benches/twins/ideal-40.yaml', import.meta.url), 'utf8');
const dB = (ratio: number) => 10 * Math.log10(ratio);

describe('the ideal 40 V clipper', () => {
  // Harmonics 2..20 captured: P/P0 = 1.008578 at 0.1 %, 1.047700 at 1 %, 1.287847 at 10 % (closed form, THD_F).
  it.each([
    [48_000, 0.1, 100.858],
    [48_000, 1, 104.77],
    [96_000, 0.1, 100.858],
    [96_000, 1, 104.77],
    [192_000, 1, 104.77],
  ])(
    'at %d samples a second and 1 kHz reads the power of %d %% THD+N, %d W, within 0.01 dB',
    async (rate_Hz, percent, expected_W) => {
      const stand = await new TwinStand(IDEAL, { rate_Hz }).connect(8);
      const [reading] = await atThdn(stand, 1000, percent, [1.95, 2.2]);
      expect(reading!.thdn_percent).toBeCloseTo(percent, 3);
      expect(Math.abs(dB(watts(reading!, 8) / expected_W))).toBeLessThan(0.01);
    },
  );

  it('at 5 kHz, where only the third harmonic lies in the band, reads 1 % at 106.897 W within 0.01 dB', async () => {
    const stand = await new TwinStand(IDEAL).connect(8);
    const [reading] = await atThdn(stand, 5000, 1, [1.95, 2.2]);
    expect(Math.abs(dB(watts(reading!, 8) / 106.8969))).toBeLessThan(0.01);
  });

  it.each([20, 1000, 5000, 10_000, 20_000])(
    'below the onset at %d Hz is exact: 90.25 W, no distortion',
    async (f) => {
      const stand = await new TwinStand(IDEAL).connect(8);
      const [reading] = await stand.read(f, [1.9]);
      expect(reading!.rms).toBeCloseTo(38 / Math.SQRT2, 9);
      expect(reading!.thdn_percent).toBeLessThan(1e-9);
    },
  );

  // The third harmonic of the clipped sine is 0.552706 % of the fundamental at k = 1.02935 (closed form).
  it.each([
    [48_000, 5000],
    [96_000, 10_000],
    [192_000, 20_000],
  ])(
    'at %d samples a second and %d Hz has the third harmonic of the closed form within 0.25 %%',
    async (rate_Hz, f) => {
      const stand = await new TwinStand(IDEAL, { rate_Hz }).connect(8);
      const [reading] = await stand.read(f, [2 * 1.02935], { band: [20, rate_Hz / 2] });
      const third = reading!.harmonics.find(({ order }) => order === 3)!;
      expect(third.rms / reading!.fundamental_rms / 0.00552706).toBeCloseTo(1, 2.3);
    },
  );
});

describe('distortion folded into the band at 1 % THD', () => {
  const TOP: Record<number, number> = { 48000: 20_000, 96000: 40_000, 192000: 80_000 };
  const tones = [20, 50, 100, 315, 1000, 2500, 5000, 6300, 8000, 10_000, 12_500, 16_000, 19_000, 20_000];

  it.each([48_000, 96_000, 192_000])('stays 100 dB below the fundamental at %d Hz', async (rate_Hz) => {
    const stand = await new TwinStand(IDEAL, { rate_Hz }).connect(8);
    for (const f of tones) {
      // k = 1.02935 is 1 % THD with all harmonics (closed form), wherever the band ends.
      const tone = stand.tone(f);
      const [volts] = await stand.volts(tone, [2 * 1.02935]);
      const { fundamental, strays } = splitPower(
        volts!,
        tone.cycles,
        (TOP[rate_Hz]! * tone.frames) / rate_Hz,
      );
      expect(dB(strays / fundamental), `${f} Hz`).toBeLessThan(-100);
    }
  });
});

/** Power of the fundamental, and of all bins up to `top` that are no harmonic of it. */
function splitPower(samples: Float64Array, cycles: number, top: number) {
  const [spectrum] = spectraOf([samples], samples.length);
  let strays = 0;
  for (let bin = 1; bin <= top; bin += 1) if (bin % cycles !== 0) strays += powerAt(spectrum!, bin);
  return { fundamental: powerAt(spectrum!, cycles), strays };
}
