import type { Finding } from '../../record/finding.js';
import type { Reason } from '../../record/reasons.js';
import { findingOf, sineOf } from '../../runner/findings/finding-of.js';
import { flagsOf, neverBelow, type Searched } from '../../runner/findings/max-power-of.js';
import { byLevel, contradiction, type ReadSample } from '../../runner/search/crossing-bracket.js';
import { crossingLevel } from '../../runner/search/expected-crossing.js';
import type { ClimbStep } from './plan.js';

/**
 * What all driven channels give together at the level where the first of them reaches each threshold: the power of
 * each at that level by straight line in log power against level, between the levels measured. None for a climb with
 * one channel. The uncertainties are added up as they are, since the channels share instruments and references: that is
 * the most they can come to.
 *
 * @param powers at the thresholds that the climb found, of all channels
 */
export function totalPowers(step: ClimbStep, searched: Searched, powers: readonly Finding[]): Finding[] {
  if (step.driven.length < 2) return [];
  return step.marks_percent.map((threshold_percent) => {
    const { terms = {}, ...sum } = sumAt(step, searched, powers, threshold_percent);
    return findingOf(step, null, {
      quantity: 'total-power',
      statistic: 'at-threshold',
      stimulus: sineOf(step.tone),
      ...sum,
      terms: { threshold_percent, ...terms },
    });
  });
}

type Sum = Pick<Finding, 'value'> & Partial<Finding>;

function sumAt(
  { driven, measured }: ClimbStep,
  searched: Searched,
  powers: readonly Finding[],
  threshold_percent: number,
): Sum {
  const { samples } = searched;
  if (measured.length < driven.length) return { value: null, why: { code: 'not-read-at-once' } };
  const indexes = [...measured.keys()];
  const changed = indexes
    .map((i) => contradiction(samples, i, threshold_percent))
    .find((pair) => pair !== null);
  if (changed) {
    const [first, again] = changed.map(({ power_W, thdn_percent }) => ({ power_W, thdn_percent }));
    return { value: null, why: { code: 'changed', first: first!, again: again! } };
  }
  const levels = indexes.map((i) => crossingLevel(samples, i, threshold_percent));
  const reached = levels.filter((level) => level !== null);
  if (reached.length === 0) return uncrossed(searched, threshold_percent);
  const at_dBW = Math.min(...reached);
  const deciding_channel = measured[levels.indexOf(at_dBW)]!;
  const [low, high] = around(samples, at_dBW);
  const given = indexes.map((i) => givenAt([low, high], i, at_dBW));
  const found = powers.find(
    ({ quantity, setting, terms }) =>
      quantity === 'max-power' &&
      setting.channel === deciding_channel &&
      terms.threshold_percent === threshold_percent,
  );
  const uncertainties = given.map(({ power_W, share }, i) =>
    // The first channel is at its threshold, whose own doubt comes in as well.
    measured[i] === deciding_channel ? (found?.uncertainty ?? null) : share && power_W * share,
  );
  const readings = [...low.readings, ...high.readings];
  return {
    value: given.reduce((sum, { power_W }) => sum + power_W, 0),
    uncertainty: allTogether(uncertainties),
    terms: { deciding_channel },
    points: [low.readings[0]!.point, high.readings[0]!.point],
    flags: flagsOf(readings),
  };
}

/** No channel passed the threshold: what they gave together at the highest level that all of them kept it at. */
function uncrossed({ samples, end }: Searched, threshold_percent: number): Sum {
  const top = byLevel(samples).findLast(({ readings }) =>
    readings.every(({ thdn_percent }) => thdn_percent < threshold_percent),
  );
  if (!top) return { value: null, why: neverBelow(samples.flatMap(({ readings }) => readings)) };
  const reached_W = top.readings.reduce((sum, { power_W }) => sum + power_W, 0);
  const why: Reason = end ? { code: 'not-reached', end, reached_W } : { code: 'other-channel-clipped' };
  return {
    value: reached_W,
    bound: 'at-least',
    why,
    uncertainty: allTogether(top.readings.map(({ uncertainty_W }) => uncertainty_W)),
    points: [top.readings[0]!.point],
    flags: flagsOf(top.readings),
  };
}

/** The sum; null where one of them is not stated. */
const allTogether = (uncertainties: readonly (number | null)[]): number | null =>
  uncertainties.every((one) => one !== null) ? uncertainties.reduce((sum, one) => sum + one, 0) : null;

/** The levels that a level lies between. */
function around(samples: readonly ReadSample[], at_dBW: number): readonly [ReadSample, ReadSample] {
  const sorted = byLevel(samples);
  const above = Math.max(
    1,
    sorted.findIndex(({ asked_dBW }) => asked_dBW >= at_dBW),
  );
  return [sorted[above - 1]!, sorted[above]!];
}

/** Power of one channel at a level between two that were measured, and U as a share of it. */
function givenAt([low, high]: readonly [ReadSample, ReadSample], index: number, at_dBW: number) {
  const share = (at_dBW - low.asked_dBW) / (high.asked_dBW - low.asked_dBW);
  const [below, over] = [low.readings[index]!, high.readings[index]!];
  const { power_W, uncertainty_W } = share < 0.5 ? below : over;
  return {
    power_W: below.power_W * (over.power_W / below.power_W) ** share,
    share: uncertainty_W === null ? null : uncertainty_W / power_W,
  };
}
