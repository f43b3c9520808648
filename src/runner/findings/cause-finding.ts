import { causesOfLoss } from '../../measure/cause/cause-of.js';
import type { Cause } from '../../measure/cause/question.js';
import type { Finding } from '../../record/finding.js';
import { LOST_SHARE, type Trip } from '../../safety/trip.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import type { Stimulus } from '../../signal/stimulus.js';
import type { CausePlace } from '../memory/load-comparison.js';
import { findingOf } from './finding-of.js';

/** Why power falls short at a place. What it rests on was looked at besides the points, and stands in the evidence. */
export const causeFinding = (
  step: EnergisedStep,
  { channel, frequency_Hz, nominal_Hz }: Pick<CausePlace, 'channel' | 'frequency_Hz' | 'nominal_Hz'>,
  causes: readonly Cause[],
): Finding =>
  findingOf(step, channel, {
    quantity: 'cause',
    statistic: 'value',
    value: causes,
    stimulus: { lines_Hz: [frequency_Hz], nominal_Hz, envelope: { kind: 'steady' } },
  });

/** Why an output was lost, where that is what has ended a step. @param stimulus what played */
export function lossFinding(
  step: EnergisedStep,
  { kind, channel, measured, limit }: Trip,
  stimulus: Stimulus | null,
): Finding | null {
  const tone = stimulus?.lines[0]?.tone;
  if (kind !== 'output-lost' || channel === null || !tone) return null;
  return causeFinding(step, { channel, ...tone }, causesOfLoss(measured, limit / LOST_SHARE));
}
