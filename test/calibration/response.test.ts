import { describe, expect, it } from 'vitest';
import { type Response, responseAt } from '../../src/calibration/response.js';

const RESPONSE: Response = {
  points: [
    { frequency_Hz: 20, level_dB: -0.4, uncertainty_dB: 0.02 },
    { frequency_Hz: 200, level_dB: 0, uncertainty_dB: 0.01 },
    { frequency_Hz: 20_000, level_dB: -0.6, uncertainty_dB: 0.03 },
  ],
};

describe('responseAt', () => {
  it('gives a recorded point back as it was recorded', () => {
    for (const point of RESPONSE.points)
      expect(responseAt(RESPONSE, point.frequency_Hz)).toMatchObject({
        level_dB: point.level_dB,
        uncertainty_dB: point.uncertainty_dB,
      });
  });

  it('goes straight in decibels against log frequency: half way at the geometric mean', () => {
    const { level_dB, uncertainty_dB } = responseAt(RESPONSE, 2000);
    expect(level_dB).toBeCloseTo(-0.3, 12);
    expect(uncertainty_dB).toBeCloseTo(0.02, 12);
  });

  it('keeps the level of its ends beyond them', () => {
    expect(responseAt(RESPONSE, 1).level_dB).toBe(-0.4);
    expect(responseAt(RESPONSE, 80_000).level_dB).toBe(-0.6);
  });
});
