import { causesOfLoss } from '../../measure/cause/cause-of.js';
import type { Cause } from '../../measure/cause/question.js';
import type { Finding, Setting, StimulusWords } from '../../record/finding.js';
import { LOST_SHARE, type Trip } from '../../safety/trip.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import type { WiredBase } from '../../sequence/step-base.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import type { Stimulus } from '../../signal/stimulus.js';
import type { CausePlace } from '../memory/load-comparison.js';

/** What is particular to one figure. */
type Figure = Pick<Finding, 'quantity' | 'statistic' | 'value' | 'stimulus'> &
  Partial<Omit<Finding, 'setting'>>;

/** A figure with the setting of its step. @param channel null: of all driven channels together */
export function findingOf(step: WiredBase, channel: number | null, figure: Figure): Finding {
  return {
    bound: 'found',
    why: null,
    uncertainty: null,
    budgets: [],
    terms: {},
    points: [],
    flags: [],
    remarks: [],
    ...figure,
    setting: settingOf(step, channel),
  };
}

function settingOf(step: WiredBase, channel: number | null): Setting {
  const { id, kind, driven, load_ohm, mains_V, cell } = step;
  return { step: id, step_kind: kind, channel, driven, load_ohm, mains_V, cell };
}

/** A steady sine. */
export const sineOf = ({ frequency_Hz, nominal_Hz }: CoherentTone): StimulusWords => ({
  lines_Hz: [frequency_Hz],
  nominal_Hz,
  envelope: { kind: 'steady' },
});

export const SILENCE: StimulusWords = { lines_Hz: [], nominal_Hz: null, envelope: { kind: 'silence' } };

/** Why power falls short at a place. What it rests on was looked at besides the points, and stands in the evidence. */
export const causeFinding = (
  step: EnergisedStep,
  { channel, frequency_Hz, nominal_Hz }: Omit<CausePlace, 'step'>,
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
