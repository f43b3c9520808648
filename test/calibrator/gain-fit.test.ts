import { describe, expect, it } from 'vitest';
import { fitGain } from '../../src/calibrator/gain-fit.js';
import { budgetOf, weighed } from '../../src/measure/budget.js';
import { seededRandom } from '../../src/signal/dither.js';

const PEAKS = [0.1, 0.25, 0.5, 0.7, 0.89];
const ACCURACY = { percent: 0.5, counts: 3, resolution: 0.001 };
const FULL_SCALE_Vpk = 2.8;

const exact = PEAKS.map((peak) => ({ peak, reading_V: (peak * FULL_SCALE_Vpk) / Math.SQRT2 }));

function U_percent(fit: ReturnType<typeof fitGain>): number {
  const components = weighed(fit.standing, 1);
  return budgetOf({ quantity: 'voltage', value: 1, unit: 'V', components }).expanded_percent!;
}

describe('fitGain', () => {
  it('gives the gain of exact readings, no scatter and no departure', () => {
    const fit = fitGain(exact, ACCURACY, 'output 1');
    expect(fit.fullScale_Vpk).toBeCloseTo(FULL_SCALE_Vpk, 12);
    expect(fit.linearity_percent).toBe(0);
    expect(
      fit.standing.filter(({ type, standard_percent }) => type === 'A' && standard_percent > 1e-10),
    ).toEqual([]);
  });

  it('keeps the percents whole however many readings there are, and weighs the counts as one offset common to all', () => {
    const fit = fitGain([...exact, ...exact, ...exact], ACCURACY, 'output 1');
    const [percents, counts] = fit.standing;
    expect(percents!.standard_percent).toBeCloseTo(0.5 / Math.sqrt(3), 12);
    // Independent arithmetic: what an offset of the counts does to this very fit.
    const moved = fitGain(
      [...exact, ...exact, ...exact].map(({ peak, reading_V }) => ({ peak, reading_V: reading_V + 0.003 })),
      ACCURACY,
      'output 1',
    );
    const shift_percent = 100 * (moved.fullScale_Vpk / FULL_SCALE_Vpk - 1);
    // The weights follow the readings, so that the two agree only to first order.
    expect(counts!.standard_percent * Math.sqrt(3)).toBeCloseTo(shift_percent, 2);
    expect(shift_percent).toBeGreaterThan(0.1);
  });

  it('takes a constant offset within the counts for no departure from the line', () => {
    const shifted = exact.map(({ peak, reading_V }) => ({ peak, reading_V: reading_V - 0.0025 }));
    expect(fitGain(shifted, ACCURACY, 'output 1').linearity_percent).toBeLessThan(1e-9);
  });

  it('finds the reading that departs, and by how much beyond half a count', () => {
    const bent = exact.map(({ peak, reading_V }, i) => ({
      peak,
      reading_V: i === 4 ? 0.97 * reading_V : reading_V,
    }));
    const fit = fitGain(bent, { percent: 0.5, counts: 0, resolution: 0 }, 'output 1');
    // All relative weights are alike without counts: the mean falls by a fifth of 3 %, one reading lies 2.4 % below.
    expect(fit.worst).toBe(4);
    expect(fit.linearity_percent).toBeCloseTo(2.41, 1);
  });

  it('covers the truth in 95 % or more of meters drawn from their limits, with a U of twice what the limits justify', () => {
    const random = seededRandom(20_260_301);
    const within = (limit: number) => limit * (2 * random() - 1);
    const trials = 1000;
    let covered = 0;
    const errors: number[] = [];
    const stated: number[] = [];
    for (let trial = 0; trial < trials; trial += 1) {
      const [share, offset] = [within(0.005), within(0.003)];
      const readings = exact.map(({ peak, reading_V }) => ({
        peak,
        reading_V: Math.round((reading_V * (1 + share) + offset) / 0.001) * 0.001,
      }));
      const fit = fitGain(readings, ACCURACY, 'output 1');
      const error = 100 * (fit.fullScale_Vpk / FULL_SCALE_Vpk - 1);
      if (Math.abs(error) <= U_percent(fit)) covered += 1;
      errors.push(error);
      stated.push(U_percent(fit));
    }
    const rms = Math.sqrt(errors.reduce((total, error) => total + error * error, 0) / trials);
    const mean = stated.reduce((total, one) => total + one, 0) / trials;
    expect(covered / trials).toBeGreaterThanOrEqual(0.95);
    expect(mean / (2 * rms)).toBeGreaterThan(0.97);
    expect(mean / (2 * rms)).toBeLessThan(1.06);
  });
});
