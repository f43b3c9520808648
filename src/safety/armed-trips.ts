import type { BenchSetup } from '../bench/bench-setup.js';
import type { SensorSetup } from '../bench/sensor.js';
import { isWired, type Plan } from '../sequence/plan.js';
import { formatDuration, formatQuantity, unitSign } from '../units/format.js';
import { courseLimits } from './course-limits.js';
import { HOT_SHARE } from './course-watch.js';

/** What of a bench decides on trips. */
export type TrippingBench = Pick<
  BenchSetup,
  'channels' | 'dcLimit_V' | 'sensors' | 'energyLimit_J' | 'timeLimit_s' | 'dropoutLimit'
>;

/** Everything that ends a run of this plan at once, one sentence each. Empty when nothing plays. */
export function armedTrips(plan: Plan, bench: TrippingBench): string[] {
  if (!plan.steps.some(isWired)) return [];
  const { time_s, energy_J } = courseLimits(plan, bench);
  const { dropoutLimit } = bench;
  return [
    'More volts or watts at a load than the step, the load or the attenuator allows.',
    `More than ${formatQuantity(bench.dcLimit_V, 'V')} of DC at a load, if the inputs pass DC (most sound interfaces block it).`,
    'An output below a tenth of what the same level gave before, or above four times that; or an input converter that clips.',
    'THD+N above 30 %, and above ten times what the same level gave before.',
    `Estimated load temperature above that of ${Math.round(100 * HOT_SHARE)} % of its continuous rating.`,
    `More than ${formatQuantity(energy_J, 'J')} into all loads together.`,
    `A run longer than ${formatDuration(time_s)}.`,
    ...(dropoutLimit === undefined ? [] : [`More than ${dropoutLimit} captures with lost samples.`]),
    ...(bench.sensors ?? []).flatMap(sensorSentence),
  ];
}

function sensorSentence({ name, high, low, needed, every_s, ...setup }: SensorSetup): string[] {
  const unit = unitSign(setup.unit);
  const limits = [
    ...(low === null ? [] : [`below ${low} ${unit}`]),
    ...(high === null ? [] : [`above ${high} ${unit}`]),
    ...(needed ? [`silent for ${formatDuration(SILENT_TIMES * every_s)}`] : []),
  ];
  return limits.length === 0 ? [] : [`Sensor ${name} ${limits.join(', or ')}.`];
}

/** So many samples running may be missing before a sensor counts as silent. */
export const SILENT_TIMES = 3;
