import { type Budget, budgetOf, type Component, limits, normal, weighed } from '../measure/budget.js';
import type { Crossing } from '../measure/crossing.js';
import type { FoundKnee } from '../measure/knee.js';
import type { Contributions } from './level-contributions.js';
import { type MeasuredPower, powerContributions } from './power-budget.js';
import { type MeasuredThdn, thdnContributions } from './thdn-budget.js';

/** The reading next to a place on a curve of THD+N against power. */
export type CurveReading = MeasuredPower & MeasuredThdn;

/**
 * Limits within which harmonics are taken to be level with the fundamental when nobody stated a response: an
 * interface that is worse is not sold for measuring. Common practice, no source.
 */
const UNSTATED_FLATNESS_dB = 1;

/**
 * Uncertainty budget of the power at a THD+N threshold: that of a power there; THD+N's own uncertainty through the
 * slope of the curve, the other way round, since THD+N that reads too high is reached too early; and the interpolation.
 *
 * What nobody stated for THD+N does not leave the power without an uncertainty, since the slope of a clipping unit
 * hides it: the response is then taken as flat within 1 dB at the harmonics, and the residue of the bench as no more than
 * the lowest reading that was taken near there.
 *
 * @param near the reading of the bracket that is next to the crossing
 * @param least_percent lowest THD+N that was read near this frequency and converter level
 */
export function crossingBudget(crossing: Crossing, near: CurveReading, least_percent: number): Budget {
  return budgetWith([], crossing, near, least_percent);
}

function budgetWith(
  more: readonly Component[],
  crossing: Crossing,
  near: CurveReading,
  least_percent: number,
): Budget {
  const power = powerContributions(near);
  const thdn = statedThdn(near, least_percent);
  const name = `channel ${near.chain.channel}`;
  const interpolation = limits(`${name}: interpolation between two readings`, 100 * crossing.interpolation);
  return budgetOf({
    quantity: 'power',
    value: crossing.power_W,
    unit: 'W',
    components: merged([
      ...power.components,
      ...scaled(thdn.components, -crossing.slope),
      ...weighed([interpolation], 1),
      ...more,
    ]),
    missing: power.missing,
  });
}

/**
 * Uncertainty budget of the power at the knee, which is where THD+N crosses twice its trend: that of any crossing, and how
 * well the trend is known there, divided by how steeply THD+N leaves it.
 *
 * @param near the reading of the bracket that is next to the knee
 */
export function kneeBudget(knee: FoundKnee, near: CurveReading, least_percent: number): Budget {
  const { trend, power_W, slope } = knee;
  const source = `channel ${near.chain.channel}: spread of the trend that the knee leaves`;
  const spread = normal(source, 'A', 100 * trend.spreadAt(power_W), trend.degrees_of_freedom);
  return budgetWith(weighed([spread], -slope), knee, near, least_percent);
}

/** THD+N's contributions with something put in the place of what nobody stated. */
function statedThdn(near: CurveReading, least_percent: number): Contributions {
  const assumed = { flatness_dB: UNSTATED_FLATNESS_dB, floor_percent: least_percent };
  return thdnContributions(near, assumed);
}

function scaled(components: readonly Component[], by: number): Component[] {
  return components.map((component) => ({ ...component, sensitivity: by * component.sensitivity }));
}

/** One source counts once, with the sum of the ways in which it acts. */
function merged(components: readonly Component[]): Component[] {
  const bySource = new Map<string, Component>();
  for (const component of components) {
    const key = `${component.source} ${component.standard_percent}`;
    const sensitivity = (bySource.get(key)?.sensitivity ?? 0) + component.sensitivity;
    bySource.set(key, { ...component, sensitivity });
  }
  return [...bySource.values()];
}
