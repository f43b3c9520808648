import type { Band } from '../measure/analysis.js';
import { findingsOf } from '../record/findings-of.js';
import type { RunRecord } from '../record/run-record.js';
import type { Claim } from './claim.js';
import { bandWords, given } from './claim-words.js';
import type { DistortionMeasure } from './looks.js';

/** What a claim asks, with what it leaves open settled. */
export interface SettledTerms {
  readonly limit_percent: number;
  readonly measure: DistortionMeasure;
  readonly band: Band;
  /** What was left open and how it was taken, in words. */
  readonly taken: readonly string[];
}

/** Where the trade looks first. */
const MIDDLE_Hz = 1000;

/**
 * Settles what a claim leaves open, in its favour: the highest distortion limit of the run, the frequency
 * nearest to 1 kHz. A load cannot be taken so: any power can be had into some load.
 */
export function openTerms(
  claim: Claim,
  record: RunRecord,
): SettledTerms | { readonly missing: readonly string[] } {
  const missing = [
    ...(claim.load_ohm === null ? ['the claim states no load'] : []),
    ...(claim.bridged ? ['the run does not tell whether channels were bridged'] : []),
  ];
  const loosest = claim.distortion_percent ?? loosestMark(record);
  const nominal = nearestToMiddle(record);
  if (loosest === null) missing.push('the claim states no distortion, and the run has no limit');
  if (nominal === null) missing.push('the run has no points');
  if (loosest === null || nominal === null || missing.length > 0) return { missing };
  const band: Band = claim.frequency_Hz ?? [nominal, nominal];
  const taken: string[] = [];
  if (claim.distortion_percent === null)
    taken.push(`distortion not stated: assumed ${given(loosest, '%')}, the highest limit of the run`);
  if (claim.distortion === null) taken.push('THD or THD+N not stated: assumed THD+N');
  if (claim.frequency_Hz === null) taken.push(`frequency not stated: assumed ${bandWords(band)}`);
  if (claim.per === null) taken.push('assumed per channel (not stated)');
  if (claim.kind === null) taken.push('assumed continuous (not stated)');
  return { limit_percent: loosest, measure: claim.distortion ?? 'THD+N', band, taken };
}

function loosestMark(record: RunRecord): number | null {
  const marks = findingsOf(record).flatMap(({ quantity, terms }) =>
    quantity === 'max-power' && terms.threshold_percent !== undefined ? [terms.threshold_percent] : [],
  );
  return marks.length === 0 ? null : Math.max(...marks);
}

function nearestToMiddle({ points }: RunRecord): number | null {
  if (points.length === 0) return null;
  const off = (frequency_Hz: number) => Math.abs(Math.log(frequency_Hz / MIDDLE_Hz));
  const nominals = points.map(({ nominal_Hz }) => nominal_Hz);
  return nominals.reduce((best, one) => (off(one) < off(best) ? one : best));
}
