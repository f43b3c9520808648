import type { RunRecord } from '../../record/run-record.js';
import { atMains } from '../at-mains.js';
import { type Evidence, evidenceAt } from '../bounds/evidence.js';
import { type Trial, trialsOf } from '../bounds/trials.js';
import { ratingLimits } from '../rating/rating-limits.js';
import type { Conclusion, ConclusionPlace, ConclusionSetting, Role, Said } from './conclusion.js';
import { sentenceOf } from './conclusion-words.js';

/** What conclusions are drawn from: the run at one mains voltage, gone through once. */
export interface ConclusionGround {
  readonly record: RunRecord;
  /** The mains voltage of all figures, where the run had several. */
  readonly mains_V: number | null;
  readonly trials: readonly Trial[];
  readonly limits_percent: readonly number[];
  /** The limit that the run is about, whose answer leads; null where it says none. */
  readonly asked_percent: number | null;
  /** By limit, in the order of `limits_percent`. */
  readonly evidence: readonly (readonly Evidence[])[];
  /** How many channels the run drives anywhere. */
  readonly channels: number;
}

/** @param claimed_percent the limit of a claim, which then stands first */
export function groundOf(
  run: RunRecord,
  claimed_percent: number | null,
  asked_percent: number | null,
): ConclusionGround {
  const { record, mains_V, several } = atMains(run, null);
  const limits = ratingLimits(record).filter((limit) => limit !== claimed_percent);
  const limits_percent = claimed_percent === null ? limits : [claimed_percent, ...limits];
  return {
    record,
    mains_V: several ? mains_V : null,
    trials: trialsOf(record, 'THD+N'),
    limits_percent,
    asked_percent,
    evidence: evidenceAt(record, limits_percent, 'THD+N'),
    channels: new Set(record.points.flatMap(({ driven }) => driven)).size,
  };
}

export function settingOf(
  { channels, mains_V }: ConclusionGround,
  { load_ohm, driven }: Pick<Evidence, 'load_ohm' | 'driven'>,
): ConclusionSetting {
  return { load_ohm, driven, all_driven: driven.length === channels, mains_V };
}

/** Load and driven channels of a setting. */
export type Here = Pick<Evidence, 'load_ohm' | 'driven'>;

/** The evidence of one setting. */
export const here = (evidence: readonly Evidence[], { load_ohm, driven }: Here): Evidence[] =>
  evidence.filter((piece) => piece.load_ohm === load_ohm && piece.driven.join() === driven.join());

export const placeAt = (
  ground: ConclusionGround,
  piece: Pick<Evidence, 'load_ohm' | 'driven' | 'channel' | 'nominal_Hz'>,
): ConclusionPlace => ({
  setting: settingOf(ground, piece),
  channel: piece.channel,
  nominal_Hz: piece.nominal_Hz,
});

/** What a conclusion rests on; left out: on the run as a whole. */
interface Rests {
  readonly points?: readonly number[];
  readonly steps?: readonly string[];
}

/** A conclusion with its sentence. */
export const conclude = (role: Role, said: Said, { points = [], steps = [] }: Rests = {}): Conclusion => ({
  ...said,
  role,
  sentence: sentenceOf(said),
  points: [...new Set(points)],
  steps: [...new Set(steps)],
});
