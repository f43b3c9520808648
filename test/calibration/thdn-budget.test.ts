import { describe, expect, it } from 'vitest';
import { frequencyBudget } from '../../src/calibration/frequency-budget.js';
import { thdnBudget } from '../../src/calibration/thdn-budget.js';
import { relativeError } from '../measure/signals.js';
import { measured, workedChain } from './measured.js';

const root3 = Math.sqrt(3);
const percentOf = (dB: number) => (100 * Math.LN10 * dB) / 20;
const flat = workedChain({ flatness_dB: 0.2 });
const voltage_V = Math.sqrt(800);
/** Harmonics and noise of equal power, 0.1 % together. */
const half = {
  noise_V: voltage_V * 1e-3 * Math.SQRT1_2,
  harmonics: [{ order: 3, frequency_Hz: 3000, rms: voltage_V * 1e-3 * Math.SQRT1_2 }],
};

describe('thdnBudget', () => {
  it('of harmonics alone is the flatness between fundamental and harmonics', () => {
    const { standard_percent } = thdnBudget(measured({ chain: flat }));
    expect(relativeError(standard_percent!, (percentOf(0.2) / root3) * (1 - 1e-6))).toBeLessThan(1e-9);
  });

  it('of noise alone is 1 / (2 root of (B T)) and needs no flatness', () => {
    // Source: Bendat and Piersol, relative standard deviation of an rms over bandwidth B and time T (from memory).
    const reading = measured({ harmonics: [], noise_V: voltage_V * 1e-3 });
    const { standard_percent, missing } = thdnBudget(reading);
    expect(missing).toEqual([]);
    expect(
      relativeError(standard_percent!, (100 / (2 * Math.sqrt(19_980 * 0.68))) * (1 - 1e-6)),
    ).toBeLessThan(1e-9);
  });

  it('weighs both by their part in the residue', () => {
    const { standard_percent } = thdnBudget(measured({ chain: flat, ...half }));
    const noise = 100 / (2 * Math.sqrt(19_980 * 0.68));
    const expected = Math.hypot(0.5 * noise, (0.5 * percentOf(0.2)) / root3) * (1 - 1e-6);
    expect(relativeError(standard_percent!, expected)).toBeLessThan(1e-9);
  });

  it("takes the bench's own residue as limits, since it may add or cancel", () => {
    const without = thdnBudget(measured({ chain: flat })).standard_percent!;
    const withFloor = thdnBudget(measured({ chain: flat, floor_percent: 0.01 })).standard_percent!;
    expect(relativeError(Math.sqrt(withFloor ** 2 - without ** 2), (10 / root3) * (1 - 1e-6))).toBeLessThan(
      1e-9,
    );
  });

  it('lets the level of the tone count too, once that is no longer near 1 kHz', () => {
    const harmonics = [{ order: 3, frequency_Hz: 18_000, rms: voltage_V * 1e-3 }];
    const { standard_percent } = thdnBudget(measured({ chain: flat, frequency_Hz: 6000, harmonics }));
    const each = percentOf(0.2) / root3;
    expect(relativeError(standard_percent!, Math.hypot(each, each) * (1 - 1e-6))).toBeLessThan(1e-9);
  });

  it("weighs a record's uncertainty by the power of each harmonic", () => {
    const points = [
      { frequency_Hz: 20, level_dB: 0, uncertainty_dB: 0 },
      { frequency_Hz: 1000, level_dB: 0, uncertainty_dB: 0 },
      { frequency_Hz: 2000, level_dB: 0, uncertainty_dB: 0.02 },
      { frequency_Hz: 3000, level_dB: 0, uncertainty_dB: 0.06 },
    ];
    const harmonics = [
      { order: 2, frequency_Hz: 2000, rms: voltage_V * 1e-3 * Math.sqrt(0.75) },
      { order: 3, frequency_Hz: 3000, rms: voltage_V * 1e-3 * Math.sqrt(0.25) },
    ];
    const { standard_percent } = thdnBudget(
      measured({ chain: workedChain({ response: { points } }), harmonics }),
    );
    expect(relativeError(standard_percent!, percentOf(0.03) * (1 - 1e-6))).toBeLessThan(1e-9);
  });

  it('takes what the residue still moved as limits', () => {
    const calm = thdnBudget(measured({ chain: flat })).standard_percent!;
    const moving = thdnBudget(measured({ chain: flat, residueMoved: 0.04 })).standard_percent!;
    expect(relativeError(Math.sqrt(moving ** 2 - calm ** 2), (4 / root3) * (1 - 1e-6))).toBeLessThan(1e-9);
  });

  it('is missing what nobody stated of the response and of the bench', () => {
    expect(thdnBudget(measured({ floor_percent: null }))).toMatchObject({
      missing: ['frequency response of channel 1', 'residual of the bench'],
      expanded: null,
    });
  });
});

describe('frequencyBudget', () => {
  it('of a clock within 50 ppm is 50 ppm over root 3', () => {
    const budget = frequencyBudget(1000, 50);
    expect(relativeError(budget.standard_percent!, 0.005 / root3)).toBeLessThan(1e-12);
    expect(relativeError(budget.expanded!, (2 * 0.05) / root3)).toBeLessThan(1e-12);
  });

  it('is nothing in simulation, and missing where nobody stated the clock', () => {
    expect(frequencyBudget(1000, 0).expanded).toBe(0);
    expect(frequencyBudget(1000, null)).toMatchObject({
      expanded: null,
      missing: ['clock of the interface'],
    });
  });
});
