import type { Finding, Setting, StimulusWords } from '../../record/finding.js';
import type { WiredBase } from '../../sequence/step-base.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';

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
