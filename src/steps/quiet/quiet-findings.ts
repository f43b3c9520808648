import type { ChannelChain } from '../../calibration/chain.js';
import { voltageBudget } from '../../calibration/power-budget.js';
import type { Band } from '../../measure/analysis.js';
import type { Budget } from '../../measure/budget.js';
import type { Silence } from '../../measure/silence.js';
import type { Finding, Terms } from '../../record/finding.js';
import { findingOf, SILENCE } from '../../runner/findings/finding-of.js';
import type { QuietStep } from './plan.js';

/** What a channel gave by itself over all records of a quiet step, in volts at the load. */
export interface QuietChannel {
  readonly channel: number;
  readonly records: Silence[];
}

/** How long it was listened to, and in which band. */
interface Listened {
  readonly seconds: number;
  readonly band_Hz: Band;
}

/** Between these a chain is calibrated as it stands. */
const MIDDLE_Hz = 1000;

/**
 * DC, noise and hum, unweighted and A-weighted, and hum of one channel. DC is the largest of any record; the rest are rms over
 * all of them.
 */
export function quietFindings(
  chain: ChannelChain,
  step: QuietStep,
  { channel, records }: QuietChannel,
  listened: Listened,
): Finding[] {
  if (records.length === 0) return [];
  const { seconds, band_Hz } = listened;
  const loudest = records.reduce((most, one) => (one.hum.rms > most.hum.rms ? one : most));
  const { mains_Hz } = loudest.hum;
  const figure = (
    quantity: 'noise' | 'hum',
    value: number,
    frequencies_Hz: readonly number[],
    terms: Terms,
  ): Finding => {
    const budget = widestBudget(chain, value, frequencies_Hz, listened);
    return findingOf(step, channel, {
      quantity,
      statistic: 'value',
      value,
      uncertainty: budget.expanded,
      budgets: [budget],
      stimulus: SILENCE,
      terms: { seconds, ...terms },
    });
  };
  const across = [band_Hz[0], MIDDLE_Hz, band_Hz[1]];
  return [
    // A chain is calibrated for tones: how true it is to DC nobody has stated.
    findingOf(step, channel, {
      quantity: 'dc',
      statistic: 'maximum',
      value: Math.max(...records.map(({ dc }) => Math.abs(dc))),
      stimulus: SILENCE,
      terms: { seconds },
    }),
    figure(
      'noise',
      rmsOf(records, ({ noise_rms }) => noise_rms),
      across,
      { band_Hz, weighting: 'none' },
    ),
    figure(
      'noise',
      rmsOf(records, ({ weighted_rms }) => weighted_rms),
      across,
      { band_Hz, weighting: 'A' },
    ),
    figure(
      'hum',
      rmsOf(records, ({ hum }) => hum.rms),
      [mains_Hz, MIDDLE_Hz],
      { mains_Hz },
    ),
  ];
}

const rmsOf = (records: readonly Silence[], rms: (record: Silence) => number): number =>
  Math.sqrt(records.reduce((sum, record) => sum + rms(record) ** 2, 0) / records.length);

/** Noise lies at many frequencies: its budget is that of the one at which the chain is known least. */
function widestBudget(
  chain: ChannelChain,
  voltage_V: number,
  frequencies_Hz: readonly number[],
  { seconds, band_Hz }: Listened,
): Budget {
  const budgets = frequencies_Hz.map((frequency_Hz) =>
    voltageBudget({
      ...{ chain, frequency_Hz, voltage_V, noise_V: voltage_V, seconds, levelMoved: 0 },
      bandwidth_Hz: band_Hz[1] - band_Hz[0],
    }),
  );
  const size = ({ expanded }: Budget) => expanded ?? Number.POSITIVE_INFINITY;
  return budgets.reduce((widest, one) => (size(one) > size(widest) ? one : widest));
}

/** DC at an output as a meter showed it. How true the meter is nobody has stated. */
export const meterFinding = (step: QuietStep, channel: number, value: number): Finding =>
  findingOf(step, channel, { quantity: 'dc-by-meter', statistic: 'value', value, stimulus: SILENCE });
