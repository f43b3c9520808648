import { describe, expect, it } from 'vitest';
import { readRecord } from '../../src/calibration/record-file.js';
import { recordText } from '../../src/calibration/write-record.js';
import { draftOf } from '../../src/calibrator/draft-of.js';
import { type CalibrationFinding, finding } from '../../src/calibrator/finding.js';

const ABOUT = {
  date: '2026-03-01',
  due: '2027-03-01',
  instrument: 'bench meter',
  serial: '7',
  by: 'Ada',
  temperature_C: 23,
  bench: 'Stand',
};
const read = (found: CalibrationFinding) =>
  readRecord(recordText(draftOf(found, ABOUT)), 'r', 'r-2026-03-01');
const part = (standard_percent: number, freedom: number | null) => ({
  source: 'x',
  type: 'B' as const,
  distribution: 'normal' as const,
  standard_percent,
  freedom,
});

describe('draftOf', () => {
  it('combines what stands behind a value, with the degrees of freedom that are left of it', () => {
    const found = finding({
      kind: 'input',
      channel: 2,
      value: 2.8284271,
      standing: [part(0.3, null), part(0.4, 3)],
      linearity_percent: 0.02,
    });
    const { value, channel, stated, record } = read(found);
    expect([value, channel]).toEqual([expect.closeTo(2.8284271, 5), 2]);
    // 0.3 and 0.4 make 0.5; 0.5^4 / (0.4^4 / 3) = 7.32 degrees of freedom (Welch and Satterthwaite).
    expect(stated![0]).toMatchObject({ standard_percent: 0.5, freedom: 7.32 });
    expect(stated![1]!.standard_percent).toBeCloseTo(0.02 / Math.sqrt(3), 6);
    expect(record).toMatchObject({ date: '2026-03-01', due: '2027-03-01' });
  });

  it('never rounds the uncertainty of a level down, nor to nothing', () => {
    const points = [100, 1000, 10_000].map((frequency_Hz, i) => ({
      frequency_Hz,
      level_dB: -0.000_04 * i,
      uncertainty_dB: 0.000_11 * i + 1e-9,
    }));
    const written = read(finding({ kind: 'response', channel: 1, value: 0, response: points })).response!
      .points;
    written.forEach(({ uncertainty_dB, level_dB }, i) => {
      expect(uncertainty_dB).toBeGreaterThanOrEqual(points[i]!.uncertainty_dB);
      expect(uncertainty_dB).toBeLessThan(points[i]!.uncertainty_dB + 0.000_14);
      expect(Object.is(level_dB, -0)).toBe(false);
    });
  });

  it('of a floor states a noise only where there was any', () => {
    const points = [{ frequency_Hz: 1000, level_dB: -10, thdn_percent: 0.0004 }];
    const noise = (noise_V: number) => {
      const found = finding({ kind: 'floor', value: 0.0004, floor: { points, noise_V } });
      read(found);
      return /^noise: (.*)$/m.exec(recordText(draftOf(found, ABOUT)))?.[1];
    };
    expect([noise(3.1e-6), noise(0)]).toEqual(['3.1 uV', undefined]);
  });

  it('writes an inductance only when it was told from none', () => {
    const load = (below: boolean) =>
      read(
        finding({
          kind: 'load',
          channel: 1,
          nominal_ohm: 8,
          value: 8.05,
          standing: [part(0.1, null)],
          load: {
            tempco: { perKelvin: 51e-6, standard_perKelvin: 3e-6 },
            inductance: { value_H: 4e-6, below },
          },
        }),
      ).load!;
    expect(load(false)).toMatchObject({ inductance: 4e-6, tempco: 51e-6 });
    expect(load(true).inductance).toBeUndefined();
  });
});
