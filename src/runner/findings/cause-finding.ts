import type { Cause } from '../../measure/cause/question.js';
import type { Finding } from '../../record/finding.js';
import type { EnergisedStep } from '../../sequence/plan.js';
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
