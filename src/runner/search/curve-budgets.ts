import { type CurveReading, crossingBudget, kneeBudget } from '../../calibration/crossing-budget.js';
import { frequencyBudget } from '../../calibration/frequency-budget.js';
import { powerBudget, voltageBudget } from '../../calibration/power-budget.js';
import { thdnBudget } from '../../calibration/thdn-budget.js';
import type { Budget } from '../../measure/budget.js';
import type { Crossing } from '../../measure/crossing.js';
import type { FoundKnee } from '../../measure/knee.js';
import type { Reading } from '../../record/run-record.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { groundOf } from '../capture/reading.js';
import type { Walk } from '../course/walk.js';

/** Readings of one channel along a curve of THD+N against power, all at one tone. */
export interface ReadingCurve {
  readonly walk: Walk;
  readonly tone: CoherentTone;
  readonly readings: readonly Reading[];
}

/** Budgets of a power at a THD+N threshold, of the voltage and the THD+N there, and of the frequency. The power's is first. */
export function crossingBudgets(
  curve: ReadingCurve,
  crossing: Crossing,
  threshold_percent: number,
): Budget[] {
  const near = nearest(curve, crossing.power_W);
  return [
    crossingBudget(crossing, near, leastAt(curve, near)),
    voltageBudget({ ...near, voltage_V: Math.sqrt(crossing.power_W * near.warm_ohm) }),
    thdnBudget({ ...near, thdn_percent: threshold_percent }),
    frequencyBudgetOf(curve.walk, near.frequency_Hz),
  ];
}

/** Budgets of the power at the knee and of the frequency. The power's is first. */
export function kneeBudgets(curve: ReadingCurve, knee: FoundKnee): Budget[] {
  const near = nearest(curve, knee.power_W);
  return [kneeBudget(knee, near, leastAt(curve, near)), frequencyBudgetOf(curve.walk, near.frequency_Hz)];
}

/** Budgets of the least power and of the most THD+N of a band, each with its frequency's. The power's is first. */
export function bandBudgets(walk: Walk, weakest: ReadingOfTone, dirtiest: ReadingOfTone): Budget[] {
  return [powerBudget(groundAt(walk, weakest)), thdnBudget(groundAt(walk, dirtiest))];
}

/** A reading and the tone that it was taken with. */
export interface ReadingOfTone {
  readonly reading: Reading;
  readonly tone: CoherentTone;
}

/** What the bench adds where nobody stated it: no more than the run has read near this place. */
const leastAt = ({ walk, readings }: ReadingCurve, near: CurveReading): number =>
  walk.unit.lowestReadings.near(near, near.chain, readings);

function nearest({ walk, tone, readings }: ReadingCurve, power_W: number): CurveReading {
  const away = (reading: Reading) => Math.abs(Math.log(reading.power_W / power_W));
  const reading = readings.reduce((best, one) => (away(one) < away(best) ? one : best));
  return groundAt(walk, { reading, tone });
}

function groundAt(walk: Walk, { reading, tone }: ReadingOfTone): CurveReading {
  return groundOf(reading, {
    setup: walk.request.setup,
    chain: walk.chain(reading.channel),
    load: walk.load(reading.channel, reading.load_ohm),
    seconds: tone.frames / tone.rate_Hz,
    settling: walk.unit.settlingOf(reading),
  });
}

function frequencyBudgetOf({ request }: Walk, frequency_Hz: number): Budget {
  const { kind, clockLimits_ppm } = request.setup;
  return frequencyBudget(frequency_Hz, kind === 'simulated' ? 0 : clockLimits_ppm);
}
