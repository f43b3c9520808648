import { kneeOf } from '../../measure/knee.js';
import { KNEE_TERMS, riseOf } from '../../measure/trend.js';
import type { Finding } from '../../record/finding.js';
import type { Reading } from '../../record/run-record.js';
import type { Walk } from '../../runner/course/walk.js';
import { findingOf, sineOf } from '../../runner/findings/finding-of.js';
import { flagsOf } from '../../runner/findings/max-power-of.js';
import type { ReadSample } from '../../runner/search/crossing-bracket.js';
import { kneeBudgets } from '../../runner/search/curve-budgets.js';
import type { ClimbStep } from './plan.js';

/**
 * The knee of one channel, THD+N of the plateau before it, and how hard the channel clips.
 *
 * @param index of the channel within the readings
 */
export function kneeFindings(
  walk: Walk,
  step: ClimbStep,
  samples: readonly ReadSample[],
  index: number,
): Finding[] {
  const readings = samples.map((sample) => sample.readings[index]!);
  const rise = riseOf(samples, ({ asked_dBW }) => asked_dBW).map((sample) => sample.readings[index]!);
  const knee = kneeOf(readings.map(kneePoint), rise.map(kneePoint));
  const budgets = knee.found ? kneeBudgets({ walk, tone: step.tone, readings }, knee.found) : [];
  const base = {
    stimulus: sineOf(step.tone),
    points: readings.map(({ point }) => point),
    flags: flagsOf(readings),
    why: knee.why && { code: knee.why },
  };
  const band_Hz = readings[0]!.band_Hz;
  const kneePower = findingOf(step, step.measured[index]!, {
    ...base,
    quantity: 'knee-power',
    statistic: 'value',
    value: knee.found?.power_W ?? null,
    uncertainty: budgets[0]?.expanded ?? null,
    budgets,
    terms: { band_Hz, ...KNEE_TERMS, ...(knee.found ? { bracket_dB: knee.found.bracket_dB } : {}) },
  });
  const plateau = findingOf(step, step.measured[index]!, {
    ...base,
    why: null,
    quantity: 'plateau-thdn',
    statistic: 'value',
    value: knee.plateau_percent,
    terms: { band_Hz, ...(knee.governed_by ? { governed_by: knee.governed_by } : {}) },
  });
  const interval = findingOf(step, step.measured[index]!, {
    ...base,
    why: null,
    quantity: 'clipping-interval',
    statistic: 'difference',
    value: knee.clipping_interval_dB,
    terms: { band_Hz },
  });
  return [kneePower, plateau, interval];
}

const kneePoint = ({ power_W, thdn_percent, noise_V, voltage_V }: Reading) => ({
  power_W,
  thdn_percent,
  noise_percent: (100 * noise_V) / voltage_V,
});
