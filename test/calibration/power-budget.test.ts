import { describe, expect, it } from 'vitest';
import { expectedImpedance_ohm, loadTolerance_percent } from '../../src/calibration/load-check.js';
import { powerBudget, voltageBudget } from '../../src/calibration/power-budget.js';
import { warmResistance_ohm } from '../../src/calibration/warm-load.js';
import { limits } from '../../src/measure/budget.js';
import { relativeError } from '../measure/signals.js';
import { measured, workedChain, workedLoad } from './measured.js';

const root3 = Math.sqrt(3);
const percentOf = (dB: number) => (100 * Math.LN10 * dB) / 20;

describe('powerBudget', () => {
  /** Inputs of the worked case without its repeatability; relative variances in %^2: 0.0833333 + 0.0533333 + 0.12. */
  it('of calibration alone is the root of 4 (0.2^2 + 0.3^2)/3 + 0.5^2/3', () => {
    const budget = powerBudget(measured());
    expect(relativeError(budget.standard_percent!, Math.sqrt(0.256666666667))).toBeLessThan(1e-9);
    expect(relativeError(budget.value, 100)).toBeLessThan(1e-12);
    expect(relativeError(budget.expanded!, (2 * budget.standard_percent! * 100) / 100)).toBeLessThan(1e-9);
    expect(budget.coverage_factor).toBe(2);
  });

  it('lets the voltage count twice and the load once, the other way round', () => {
    const { components } = powerBudget(measured());
    expect(components.map(({ source, sensitivity }) => [source.split(':')[0], sensitivity])).toEqual([
      ['input 1', 2],
      ['attenuator 1', 2],
      ['channel 1', 2],
      ['load 1', -1],
    ]);
    expect(powerBudget(measured()).standard_percent).toBeGreaterThan(
      voltageBudget(measured()).standard_percent!,
    );
  });

  it.each([
    [{ chain: workedChain({ inputStated: null }) }, ['input 1']],
    [{ chain: workedChain({ attenuatorStated: null }) }, ['attenuator 1']],
    [{ load: workedLoad({ stated: null }) }, ['load 1 (8 ohm)']],
    [{ frequency_Hz: 2030 }, ['frequency response of channel 1']],
    [{ frequency_Hz: 490 }, ['frequency response of channel 1']],
  ])('gives no uncertainty while somebody has yet to state a part: case %#', (changes, missing) => {
    expect(powerBudget(measured(changes))).toMatchObject({ missing, expanded: null, expanded_percent: null });
  });

  it('takes a level within an octave of 1 kHz as that at 1 kHz', () => {
    for (const frequency_Hz of [500, 1000, 2000])
      expect(powerBudget(measured({ frequency_Hz })).standard_percent).toBe(
        powerBudget(measured()).standard_percent,
      );
  });

  it("takes limits of flatness beyond that octave as far as the audio band, and a record's own uncertainty", () => {
    const flat = measured({ frequency_Hz: 20_000, chain: workedChain({ flatness_dB: 0.1 }) });
    const added = (reading: typeof flat) =>
      Math.sqrt(
        voltageBudget(reading).standard_percent! ** 2 - voltageBudget(measured()).standard_percent! ** 2,
      );
    expect(relativeError(added(flat), percentOf(0.1) / root3)).toBeLessThan(1e-9);
    expect(voltageBudget({ ...flat, frequency_Hz: 21_000 }).missing).toEqual([
      'frequency response of channel 1',
    ]);
    const points = [20, 20_000].map((frequency_Hz) => ({ frequency_Hz, level_dB: 0, uncertainty_dB: 0.05 }));
    const recorded = measured({ frequency_Hz: 20_000, chain: workedChain({ response: { points } }) });
    expect(relativeError(added(recorded), percentOf(0.05))).toBeLessThan(1e-9);
  });

  it('takes what still moved in the record as limits, less what noise alone moves', () => {
    const calm = voltageBudget(measured()).standard_percent!;
    const moving = voltageBudget(measured({ levelMoved: 1e-3 })).standard_percent!;
    expect(relativeError(Math.sqrt(moving ** 2 - calm ** 2), 0.1 / root3)).toBeLessThan(1e-9);
    // Noise of 1 %: halves differ by 2 x 1 % / root (2 B T) by chance.
    const noisy = measured({ noise_V: 0.01 * Math.sqrt(800) });
    const chance = 0.02 / Math.sqrt(2 * 19_980 * 0.68);
    expect(voltageBudget({ ...noisy, levelMoved: 0.999 * chance }).standard_percent).toBe(
      voltageBudget(noisy).standard_percent,
    );
  });
});

describe('a load that warms', () => {
  // Facts of the trade: 50 ppm/K over 150 K are 0.75 % (arithmetic).
  const load = workedLoad({ tempco_per_K: 50e-6, heating_K_per_W: 1.5, rating_W: 200 });

  it('has grown by 0.75 % at 100 W with 1.5 K a watt and 50 ppm a kelvin', () => {
    expect(warmResistance_ohm(load, 100)).toBeCloseTo(8 * 1.0075, 12);
    expect(warmResistance_ohm(load, 0)).toBe(8);
  });

  it('adds the limits of that correction and of the room to the budget', () => {
    const warm_ohm = warmResistance_ohm(load, 100);
    const warm = powerBudget(measured({ load, warm_ohm })).standard_percent!;
    const cold = powerBudget(measured()).standard_percent!;
    const correction = (0.5 * 0.75) / 1.0075 / root3;
    const room = (100 * 5 * 50e-6) / 1.0075 / root3;
    expect(relativeError(warm, Math.hypot(cold, correction, room))).toBeLessThan(1e-9);
  });
});

describe('the check of a load by its current', () => {
  it('expects the ohms as warm as they are, with the inductance', () => {
    const load = workedLoad({ inductance_H: 10e-6 });
    const impedance_ohm = expectedImpedance_ohm(measured({ load, warm_ohm: 8.06, frequency_Hz: 20_000 }));
    expect(impedance_ohm).toBeCloseTo(Math.hypot(8.06, 2 * Math.PI * 20_000 * 10e-6), 12);
  });

  it('allows as much as is uncertain where all is stated, and 5 % elsewhere', () => {
    const current = { input: 3, fullScale_Vpk: 1, shunt_ohm: 0.1, stated: [limits('current shunt 1', 0.4)] };
    const chain = workedChain({ current });
    const standard = Math.hypot(0.3, 0.2, 0.5, 0.4) / root3;
    expect(relativeError(loadTolerance_percent(measured({ chain })), 2 * standard)).toBeLessThan(1e-9);
    expect(loadTolerance_percent(measured({ chain, frequency_Hz: 3000 }))).toBe(5);
    expect(loadTolerance_percent(measured())).toBe(5);
    expect(loadTolerance_percent(measured({ chain, load: workedLoad({ stated: null }) }))).toBe(5);
  });
});
