import { describe, expect, it } from 'vitest';
import { isClearKnee, kneePlace } from '../../../src/document/model/clear-knee.js';
import type { KneeResult } from '../../../src/record/old-results.js';

const knee = (power_W: number | null, uncertainty_W: number | null): KneeResult => ({
  ...{ kind: 'knee', step: 'climb', channel: 1, driven: [1], load_ohm: 8, frequency_Hz: 1000 },
  ...{ power_W, uncertainty_W, plateau_percent: 0.01, hardness_dB: 0.3, governed_by: 'noise', note: '' },
});

describe('a knee', () => {
  it('is told with its uncertainty', () => {
    expect(kneePlace(knee(97.2, 0.7))).toBe('knee at 97.2 W ± 0.70 W');
    expect(kneePlace(knee(null, null))).toBe('no knee found');
  });

  it('is none to go by where it is known no better than half of itself', () => {
    expect(kneePlace(knee(13.8, 28))).toBe('no clear knee (13.8 W ± 28 W)');
    expect([knee(10, 5), knee(10, 5.1), knee(10, null), knee(null, null)].map(isClearKnee)).toEqual([
      true,
      false,
      true,
      false,
    ]);
  });
});
