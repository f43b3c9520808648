import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import { RATING_LIMITS } from './rating.js';

/** The limits at which a run searched the maximum power at one frequency after the other, percent, the strictest first. */
export function searchedLimits(record: RunRecord): number[] {
  const searches = new Set(
    record.points.filter(({ stepKind }) => stepKind === 'max-power').map(({ step }) => step),
  );
  const limits = findingsOf(record).flatMap(({ quantity, setting, terms }) =>
    quantity === 'max-power' && searches.has(setting.step) && terms.threshold_percent !== undefined
      ? [terms.threshold_percent]
      : [],
  );
  return [...new Set(limits)].sort((a, b) => a - b);
}

/** The limits that a run is rated at: the usual ones, and those that it searched. */
export const ratingLimits = (record: RunRecord): number[] =>
  [...new Set([...RATING_LIMITS, ...searchedLimits(record)])].sort((a, b) => a - b);
