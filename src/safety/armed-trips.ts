import type { BenchSetup } from '../bench/bench-setup.js';
import type { SensorSetup } from '../bench/sensor.js';
import { isEnergised, isWired, type Plan, planOf } from '../sequence/plan.js';
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

/** A take holds two records of the tone, and fades, settling and silence around them. */
const RECORDS = 2;
const AROUND_s = 0.3;

/** What of a bench decides on how soon a trip takes effect. */
type ReactingBench = Pick<BenchSetup, 'interface' | 'energises' | 'rate_Hz'>;

/**
 * How long full level may stand at the loads of a plan before a trip can end it, where the bench hands over whole takes: as
 * long as the longest take, seconds, rounded up to tenths. Null where blocks are watched while they play, or nothing is energised.
 */
export function tripDelay_s(plan: Plan, bench: ReactingBench): number | null {
  const { interface: device, energises, rate_Hz } = bench;
  if (!energises || device.kind !== 'command' || device.block_s !== null) return null;
  const frames = plan.steps.filter(isEnergised).flatMap((step) =>
    planOf(step)
      .tones(step)
      .map((tone) => tone.frames),
  );
  if (frames.length === 0) return null;
  return Math.ceil(10 * ((RECORDS * Math.max(...frames)) / rate_Hz + AROUND_s)) / 10;
}

/** When the trips of a plan take effect: a heading over their list. */
export const tripHeading = (plan: Plan, bench: ReactingBench): string =>
  tripDelay_s(plan, bench) === null ? 'Ends the run at once' : 'Ends the run after the take';

/** What must be said of trips that come late. Empty where they do not. */
export function tripDelayWords(plan: Plan, bench: ReactingBench): string[] {
  const delay_s = tripDelay_s(plan, bench);
  if (delay_s === null) return [];
  return [
    `No trip takes effect before the end of a take, up to ${delay_s} s: the program of this bench does not stream. ` +
      'Until then a fault keeps its voltage on the loads. A program that streams (`blocks` in the bench file) is watched while it plays.',
  ];
}
