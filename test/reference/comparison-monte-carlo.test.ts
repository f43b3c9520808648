import { describe, expect, it } from 'vitest';
import type { ChannelChain, Load } from '../../src/calibration/chain.js';
import { powerBudget } from '../../src/calibration/power-budget.js';
import { warmResistance_ohm } from '../../src/calibration/warm-load.js';
import { differenceOf } from '../../src/document/comparison/difference.js';
import { budgetOf, type Contribution, limits, weighed } from '../../src/measure/budget.js';
import { measured, workedChain, workedLoad } from '../calibration/measured.js';
import { budgeted } from '../document/comparison/placed.js';
import { Dice } from './dice.js';

/**
 * Uncertainties of differences against a propagation of distributions (JCGM 101:2008, clause 5; number from memory):
 * every cause is drawn once for both runs when they share it, else once a run, goes through the whole model, and the
 * differences are counted. Standard uncertainties agree within 2 %; so does U with the half-width that holds 95.45 %,
 * where nearly all of it is normal.
 */
const AGREES = 0.02;
const TRIALS = 200_000;
const COVERAGE = 0.954499736;

function spread(values: Float64Array) {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
  const away = values.map((value) => Math.abs(value - mean)).sort();
  return { mean, standard: Math.sqrt(variance), half: away[Math.ceil(COVERAGE * values.length) - 1]! };
}

function drawn(draw: () => readonly [one_W: number, other_W: number]) {
  const [watts, decibels] = [new Float64Array(TRIALS), new Float64Array(TRIALS)];
  for (let i = 0; i < TRIALS; i += 1) {
    const [one_W, other_W] = draw();
    watts[i] = other_W - one_W;
    decibels[i] = 10 * Math.log10(other_W / one_W);
  }
  return { watts: spread(watts), decibels: spread(decibels) };
}

const normal = (source: string, standard_percent: number, freedom: number | null = null): Contribution => ({
  source,
  type: freedom === null ? 'B' : 'A',
  distribution: 'normal',
  standard_percent,
  freedom,
});

const RESPONSE_dB = 0.02;
const RECORDS = { 'input-1': 'a', 'attenuator-1': 'b', 'load-1': 'c', 'response-1': 'd' };

/** A bench calibrated by records: input 0.3 %, attenuator within 0.2 %, load 0.5 %, response 0.02 dB, a load that warms. */
function bench(): { chain: ChannelChain; load: Load } {
  const load = workedLoad({
    stated: [normal('load 1 (8 ohm): calibration (record load-1)', 0.5)],
    tempco_per_K: 50e-6,
    heating_K_per_W: 1,
  });
  const points = [20, 20_000].map((frequency_Hz) => ({
    frequency_Hz,
    level_dB: 0,
    uncertainty_dB: RESPONSE_dB,
  }));
  const response = {
    id: 'response-1',
    kind: 'response',
    date: null,
    due: null,
    text: '',
    sha256: 'd',
  } as const;
  const chain = workedChain({
    inputStated: [normal('input 1: calibration (record input-1)', 0.3)],
    attenuatorStated: [limits('attenuator 1: meter 0.2 % (record attenuator-1)', 0.2)],
    response: { points },
    loads: [load],
    records: [response],
  });
  return { chain, load };
}

/** The budget of a power on that bench; the level moves by a share between the halves of the record. */
function powerOn(power_W: number, levelMoved: number) {
  const { chain, load } = bench();
  const warm_ohm = warmResistance_ohm(load, power_W);
  return powerBudget(
    measured({ chain, load, warm_ohm, voltage_V: Math.sqrt(power_W * warm_ohm), levelMoved }),
  );
}

interface Causes {
  readonly volts: number;
  readonly load: number;
  readonly warming: number;
}

const causes = (dice: Dice): Causes => ({
  volts: (1 + dice.normal(0.003)) * (1 + dice.rectangular(0.002)) * 10 ** (dice.normal(RESPONSE_dB) / 20),
  load: 1 + dice.normal(0.005),
  warming: 1 + dice.rectangular(0.5),
});

/** What a bench with these errors would read of a true power. */
function read(power_W: number, { volts, load, warming }: Causes, moved: number, room_K: number): number {
  const assumed = 1 + 50e-6 * power_W;
  const ohms = load * (1 + 50e-6 * (power_W * warming + room_K));
  return (power_W * volts ** 2 * (1 + moved) ** 2 * assumed) / ohms;
}

describe('the uncertainty of a difference against drawing its causes', () => {
  const [one, other] = [powerOn(100, 0.001), powerOn(160, 0.0015)];

  it('agrees for two runs on one bench, where calibration cancels in the ratio but not in the watts', () => {
    const difference = differenceOf(
      budgeted(1, one, { records: RECORDS }),
      budgeted(2, other, { records: RECORDS }),
    )!;
    expect(difference.cancelled).toHaveLength(5);
    const dice = new Dice(11);
    const { watts, decibels } = drawn(() => {
      const shared = causes(dice);
      return [
        read(100, shared, dice.rectangular(0.001), dice.rectangular(5)),
        read(160, shared, dice.rectangular(0.0015), dice.rectangular(5)),
      ];
    });
    const k = difference.coverage_factor!;
    expect(watts.mean).toBeCloseTo(60, 1);
    expect(Math.abs(decibels.standard / (difference.uncertainty_dB! / k) - 1)).toBeLessThan(AGREES);
    expect(Math.abs(watts.standard / (difference.uncertainty! / k) - 1)).toBeLessThan(AGREES);
    // Sharing matters: the same figures from two benches are known at least five times worse to each other.
    const apart = differenceOf(
      budgeted(1, one, { records: RECORDS }),
      budgeted(2, other, { bench: 'bench-2' }),
    )!;
    expect(apart.uncertainty_dB! / difference.uncertainty_dB!).toBeGreaterThan(5);
  });

  it('agrees for two benches that share nothing but a load', () => {
    const difference = differenceOf(
      budgeted(1, one, { records: RECORDS }),
      budgeted(2, other, {
        bench: 'bench-2',
        records: { ...RECORDS, 'input-1': 'x', 'attenuator-1': 'y', 'response-1': 'z' },
      }),
    )!;
    expect(difference.cancelled).toEqual(['load 1 (8 ohm): calibration (record load-1)']);
    const dice = new Dice(12);
    const { watts, decibels } = drawn(() => {
      const [here, there] = [causes(dice), causes(dice)];
      return [
        read(100, here, dice.rectangular(0.001), dice.rectangular(5)),
        read(160, { ...there, load: here.load }, dice.rectangular(0.0015), dice.rectangular(5)),
      ];
    });
    const k = difference.coverage_factor!;
    expect(Math.abs(decibels.standard / (difference.uncertainty_dB! / k) - 1)).toBeLessThan(AGREES);
    expect(Math.abs(watts.standard / (difference.uncertainty! / k) - 1)).toBeLessThan(AGREES);
    expect(Math.abs(decibels.half / difference.uncertainty_dB! - 1)).toBeLessThan(AGREES);
  });

  it('takes its coverage factor from the freedom of what is left, not from that of what cancels', () => {
    const shared = normal('input 1: calibration (record input-1)', 1, 3);
    const own = normal('channel 1: noise on the level', 0.2, 8);
    const budget = (value: number) =>
      budgetOf({ quantity: 'power', value, unit: 'W', components: weighed([shared, own], 2) });
    const papers = { records: { 'input-1': 'a' } };
    const difference = differenceOf(budgeted(1, budget(50), papers), budgeted(2, budget(50.4), papers))!;
    // Two equal standard uncertainties with 8 degrees of freedom each have 16 together (JCGM 100:2008, G.4.1); t for
    // 95.45 % and 16 degrees is 2.17 (table G.2, from memory), which the percent of the ratio is then worth in dB.
    expect(difference.coverage_factor).toBeCloseTo(2.169, 3);
    const ratio_percent = difference.coverage_factor! * Math.SQRT2 * 0.4;
    expect(difference.uncertainty_dB).toBeCloseTo(((10 / Math.LN10) * ratio_percent) / 100, 9);
  });
});
