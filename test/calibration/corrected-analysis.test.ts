import { describe, expect, it } from 'vitest';
import { correctedAnalysis } from '../../src/calibration/corrected-analysis.js';
import type { Response } from '../../src/calibration/response.js';
import { analyse } from '../../src/measure/analyse.js';
import { ONE_KILOHERTZ, periodic, RATE_HZ, relativeError } from '../measure/signals.js';

const options = { rate_Hz: RATE_HZ, frequency_Hz: 1000, tone: ONE_KILOHERTZ };
const tone_Hz = (ONE_KILOHERTZ.cycles * RATE_HZ) / ONE_KILOHERTZ.frames;

/** Magnitude of a first-order low-pass, dB (closed form). */
const lowPass_dB = (frequency_Hz: number, corner_Hz: number) =>
  -10 * Math.log10(1 + (frequency_Hz / corner_Hz) ** 2);

/** The tone and two harmonics, each by its own level. */
function heard(levels: (order: number) => number): Float64Array {
  return periodic(
    ONE_KILOHERTZ,
    (x) =>
      0.5 * levels(1) * Math.sin(x) +
      0.004 * levels(2) * Math.sin(2 * x) +
      0.002 * levels(9) * Math.cos(9 * x),
  );
}

describe('correctedAnalysis', () => {
  const corner_Hz = 12_000;
  const through = (order: number) => 10 ** (lowPass_dB(order * tone_Hz, corner_Hz) / 20);
  const response: Response = {
    points: [1, 2, 9].map((order) => ({
      frequency_Hz: order * tone_Hz,
      level_dB: lowPass_dB(order * tone_Hz, corner_Hz),
      uncertainty_dB: 0,
    })),
  };
  const [plain] = analyse([heard(() => 1)], options);
  const [dulled] = analyse([heard(through)], options);

  it('gives back what a low-pass took away, tone and harmonics each at their own frequency', () => {
    const corrected = correctedAnalysis(dulled!, response);
    expect(relativeError(corrected.fundamental_rms, 0.5 * Math.SQRT1_2)).toBeLessThan(1e-9);
    expect(relativeError(corrected.harmonics[0]!.rms, 0.004 * Math.SQRT1_2)).toBeLessThan(1e-9);
    expect(relativeError(corrected.harmonics[7]!.rms, 0.002 * Math.SQRT1_2)).toBeLessThan(1e-9);
  });

  it('recomputes every figure by its definition', () => {
    const corrected = correctedAnalysis(dulled!, response);
    const thd = Math.hypot(0.004, 0.002) / 0.5;
    expect(relativeError(corrected.thd_percent!, 100 * thd)).toBeLessThan(1e-9);
    expect(relativeError(corrected.thdr_percent!, (100 * thd) / Math.sqrt(1 + thd ** 2))).toBeLessThan(1e-9);
    expect(relativeError(corrected.thdn_percent, corrected.thdr_percent!)).toBeLessThan(1e-9);
    expect(corrected.sinad_dB).toBeCloseTo(-20 * Math.log10(corrected.thdn_percent / 100), 9);
    expect(relativeError(corrected.rms, plain!.rms)).toBeLessThan(1e-9);
    expect(corrected.crest_factor * corrected.rms).toBeCloseTo(dulled!.crest_factor * dulled!.rms, 12);
  });

  it('leaves noise, peak and DC as they are', () => {
    const { noise_rms, peak, dc } = correctedAnalysis(dulled!, response);
    expect({ noise_rms, peak, dc }).toEqual({
      noise_rms: dulled!.noise_rms,
      peak: dulled!.peak,
      dc: dulled!.dc,
    });
  });

  it('changes no distortion when the whole band is off by the same', () => {
    const points = [20, 20_000].map((frequency_Hz) => ({ frequency_Hz, level_dB: -1, uncertainty_dB: 0 }));
    const corrected = correctedAnalysis(plain!, { points });
    expect(relativeError(corrected.thd_percent!, plain!.thd_percent!)).toBeLessThan(1e-12);
    expect(relativeError(corrected.fundamental_rms, plain!.fundamental_rms * 10 ** (1 / 20))).toBeLessThan(
      1e-12,
    );
  });

  it('does nothing without a response, and nothing to silence', () => {
    expect(correctedAnalysis(plain!, null)).toBe(plain);
    const [silent] = analyse([new Float64Array(ONE_KILOHERTZ.frames)], options);
    expect(correctedAnalysis(silent!, response)).toBe(silent);
  });
});
