import { describe, expect, it } from 'vitest';
import type { ChannelChain } from '../../src/calibration/chain.js';
import { type CurveReading, crossingBudget } from '../../src/calibration/crossing-budget.js';
import { powerBudget } from '../../src/calibration/power-budget.js';
import { thdnBudget } from '../../src/calibration/thdn-budget.js';
import { warmResistance_ohm } from '../../src/calibration/warm-load.js';
import { type Budget, type Contribution, limits } from '../../src/measure/budget.js';
import { type CurvePoint, lastCrossing } from '../../src/measure/crossing.js';
import { measured, workedChain, workedLoad } from '../calibration/measured.js';
import { Dice } from './dice.js';

/**
 * Budgets against a propagation of distributions (JCGM 101:2008, clause 5; number from memory): every input is drawn
 * from the distribution that the budget names for it, goes through the whole model, and what comes out is counted.
 * Agreement within 2 % of the standard uncertainty, and of U against the half-width that holds 95.45 %. Where limits
 * (rectangular) rule, that half-width is below 2 standard deviations: by 1.3 % in the worked case, by 17 % at worst, when
 * there is nothing but limits. U is then larger than need be, never smaller.
 */
const AGREES = 0.02;
const TRIALS = 200_000;
/** Two standard deviations of a normal distribution. */
const COVERAGE = 0.954499736;

/** Standard deviation in percent of the value, and the half-width around the mean that holds the coverage. */
function spread(values: Float64Array) {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
  const away = values.map((value) => Math.abs(value - mean)).sort();
  return {
    mean,
    standard_percent: (100 * Math.sqrt(variance)) / mean,
    half_percent: (100 * away[Math.ceil(COVERAGE * values.length) - 1]!) / mean,
  };
}

function expectAgreement(budget: Budget, draw: () => number): void {
  const { mean, standard_percent, half_percent } = spread(Float64Array.from({ length: TRIALS }, draw));
  expect(Math.abs(mean / budget.value - 1)).toBeLessThan(1e-3);
  expect(Math.abs(standard_percent / budget.standard_percent! - 1)).toBeLessThan(AGREES);
  expect(Math.abs(half_percent / budget.expanded_percent! - 1)).toBeLessThan(AGREES);
}

const repeatability: Contribution = {
  source: 'input 1: repeatability',
  type: 'A',
  distribution: 'normal',
  standard_percent: 0.1,
  freedom: null,
};

const decibels = (dB: number) => 10 ** (dB / 20);

describe('the budget of a power against drawing its inputs', () => {
  it('agrees in the worked case: load 0.5 %, attenuator 0.2 %, converter 0.3 %, repeatability 0.1 % of voltage', () => {
    const chain = workedChain({ inputStated: [limits('input 1: meter', 0.3), repeatability] });
    const budget = powerBudget(measured({ chain }));
    // Source: worked by hand after JCGM 100:2008, 5.1.2.
    expect(budget.standard_percent).toBeCloseTo(0.544671, 5);
    const dice = new Dice(1);
    const code = Math.sqrt(800);
    expectAgreement(budget, () => {
      const fullScale = 1 + dice.rectangular(0.003) + dice.normal(0.001);
      const ratio = 1 + dice.rectangular(0.002);
      const load_ohm = 8 * (1 + dice.rectangular(0.005));
      return (code * fullScale * ratio) ** 2 / load_ohm;
    });
  });

  it('agrees at 20 kHz through a corrected response into a load that has warmed', () => {
    const load = workedLoad({ tempco_per_K: 100e-6, heating_K_per_W: 2, rating_W: 200 });
    const points = [20, 20_000].map((frequency_Hz) => ({
      frequency_Hz,
      level_dB: -0.5,
      uncertainty_dB: 0.03,
    }));
    const chain = workedChain({ response: { points } });
    const warm_ohm = warmResistance_ohm(load, 100);
    const voltage_V = Math.sqrt(100 * warm_ohm);
    const budget = powerBudget(measured({ chain, load, warm_ohm, voltage_V, frequency_Hz: 20_000 }));
    const dice = new Dice(2);
    const code = voltage_V * decibels(-0.5);
    expectAgreement(budget, () => {
      const fullScale = 1 + dice.rectangular(0.003);
      const ratio = 1 + dice.rectangular(0.002);
      const response = decibels(-0.5 + dice.normal(0.03));
      const rise_K = 2 * 100 * (1 + dice.rectangular(0.5)) + dice.rectangular(5);
      const load_ohm = 8 * (1 + dice.rectangular(0.005)) * (1 + 100e-6 * rise_K);
      return ((code * fullScale * ratio) / response) ** 2 / load_ohm;
    });
  });
});

/** A record so short that the noise in it counts, seen through a response that is not well known, over a high floor. */
function noisyReading(): { readonly reading: CurveReading; readonly values: number } {
  const voltage_V = Math.sqrt(800);
  const seconds = 0.01;
  const points = [
    { frequency_Hz: 1000, level_dB: 0, uncertainty_dB: 0.02 },
    { frequency_Hz: 3000, level_dB: 0, uncertainty_dB: 0.05 },
  ];
  const reading = measured({
    chain: workedChain({ response: { points } }),
    seconds,
    noise_V: voltage_V * 1e-3 * Math.sqrt(0.5),
    harmonics: [{ order: 3, frequency_Hz: 3000, rms: voltage_V * 1e-3 * Math.sqrt(0.5) }],
    thdn_percent: 0.1,
    floor_percent: 0.002,
  });
  return { reading, values: 2 * reading.bandwidth_Hz * seconds };
}

describe('the budget of THD+N against drawing its inputs', () => {
  it('agrees for half noise, half harmonic, with the bench near', () => {
    const { reading, values } = noisyReading();
    const dice = new Dice(3);
    expectAgreement(thdnBudget(reading), () => {
      const tone = decibels(dice.normal(0.02));
      const harmonic = Math.sqrt(0.5) * decibels(dice.normal(0.05));
      const noise = Math.sqrt((0.5 * dice.chiSquare(values)) / values);
      return (0.1 * Math.hypot(harmonic, noise)) / tone + dice.rectangular(0.002);
    });
  });
});

describe('the budget of a power at a threshold against drawing its inputs', () => {
  /** A unit that clips softly, so that THD+N matters: D = 0.1 % (P / 100 W)^3. */
  const powers = [96, 98, 99.2, 99.7, 100.2, 100.9, 102, 105];
  const truth = powers.map((power_W) => ({ power_W, thdn_percent: 0.1 * (power_W / 100) ** 3 }));
  const chainAt6kHz = (): ChannelChain =>
    workedChain({
      response: {
        points: [
          { frequency_Hz: 1000, level_dB: 0, uncertainty_dB: 0 },
          { frequency_Hz: 6000, level_dB: 0, uncertainty_dB: 0.04 },
          { frequency_Hz: 18_000, level_dB: 0, uncertainty_dB: 0.1 },
        ],
      },
    });

  it('agrees when voltage, load, response and floor all err, each in all the ways in which it acts', () => {
    const voltage_V = Math.sqrt(800);
    const near = measured({
      chain: chainAt6kHz(),
      frequency_Hz: 6000,
      harmonics: [{ order: 3, frequency_Hz: 18_000, rms: voltage_V * 1e-3 }],
      floor_percent: 0.002,
    });
    const budget = crossingBudget(lastCrossing(truth, 0.1)!, near, 0.001);
    const dice = new Dice(4);
    expectAgreement(budget, () => {
      const tone = decibels(dice.normal(0.04));
      const volts = (1 + dice.rectangular(0.003)) * (1 + dice.rectangular(0.002)) * tone;
      const ohms = 1 + dice.rectangular(0.005);
      const overtone = decibels(dice.normal(0.1));
      const floor = dice.rectangular(0.002);
      const seen = truth.map(
        ({ power_W, thdn_percent }): CurvePoint => ({
          power_W: (power_W * volts ** 2) / ohms,
          thdn_percent: (thdn_percent * overtone) / tone + floor,
        }),
      );
      return lastCrossing(seen, 0.1)!.power_W;
    });
  });

  it('counts the response at the tone once, for the voltage and for THD+N together', () => {
    const near = measured({ chain: chainAt6kHz(), frequency_Hz: 6000 });
    const { components } = crossingBudget(lastCrossing(truth, 0.1)!, near, 0.001);
    const tone = components.filter(({ source }) => source === 'response 1: calibration');
    expect(tone).toHaveLength(1);
    expect(tone[0]!.sensitivity).toBeCloseTo(2 + (1 / 3) * (1 - 1e-6), 9);
  });
});
