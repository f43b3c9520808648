import type { PowerAtThdn, SumResult } from '../../record/old-results.js';
import type { Reading } from '../../record/run-record.js';
import { byLevel, contradiction, type LevelSample } from '../../runner/search/crossing-bracket.js';
import { crossingLevel } from '../../runner/search/expected-crossing.js';
import type { ClimbStep } from './plan.js';

/** A level of a climb with all that was read at it. */
export interface ReadSample extends LevelSample {
  readonly readings: readonly Reading[];
}

/**
 * What all driven channels give together at the level where the first of them reaches each threshold: the power of
 * each at that level by straight line in log power against level, between the levels measured. None for a climb with
 * one channel. The uncertainties are added up as they are, since the channels share instruments and references: that is
 * the most they can come to.
 *
 * @param crossings powers at the thresholds that the climb found, of all channels
 */
export function sumResults(
  step: ClimbStep,
  samples: readonly ReadSample[],
  crossings: readonly PowerAtThdn[],
): SumResult[] {
  if (step.driven.length < 2) return [];
  return step.marks_percent.map((threshold_percent) => ({
    kind: 'sum',
    step: step.id,
    channel: 0,
    driven: step.driven,
    load_ohm: step.load_ohm,
    threshold_percent,
    frequency_Hz: step.tone.frequency_Hz,
    ...sumAt(step, samples, crossings, threshold_percent),
  }));
}

function sumAt(
  { driven, measured }: ClimbStep,
  samples: readonly ReadSample[],
  crossings: readonly PowerAtThdn[],
  threshold_percent: number,
): Pick<SumResult, 'power_W' | 'uncertainty_W' | 'first_channel' | 'note'> {
  const none = { power_W: null, uncertainty_W: null, first_channel: null };
  if (measured.length < driven.length)
    return { ...none, note: 'not all driven channels were read at once, so there is no sum at one level' };
  if (measured.some((_, i) => contradiction(samples, i, threshold_percent)))
    return { ...none, note: 'a level did not give the same when it was played again' };
  const levels = measured.map((_, i) => crossingLevel(samples, i, threshold_percent));
  const reached = levels.filter((level) => level !== null);
  if (reached.length === 0) return { ...none, note: `no channel crossed ${threshold_percent} %` };
  const at_dBW = Math.min(...reached);
  const first_channel = measured[levels.indexOf(at_dBW)]!;
  const given = measured.map((_, i) => givenAt(samples, i, at_dBW));
  const found = crossings.find(
    (crossing) => crossing.channel === first_channel && crossing.threshold_percent === threshold_percent,
  );
  const uncertainties = given.map(({ power_W, share }, i) =>
    // The first channel is at its threshold, whose own doubt comes in as well.
    measured[i] === first_channel ? (found?.uncertainty_W ?? null) : share && power_W * share,
  );
  const stated = uncertainties.every((uncertainty_W) => uncertainty_W !== null);
  return {
    power_W: given.reduce((sum, { power_W }) => sum + power_W, 0),
    uncertainty_W: stated ? uncertainties.reduce((sum, uncertainty_W) => sum + uncertainty_W!, 0) : null,
    first_channel,
    note: '',
  };
}

/** Power of one channel at a level between two that were measured, and U as a share of it. */
function givenAt(samples: readonly ReadSample[], index: number, at_dBW: number) {
  const sorted = byLevel(samples);
  const above = Math.max(
    1,
    sorted.findIndex(({ asked_dBW }) => asked_dBW >= at_dBW),
  );
  const [low, high] = [sorted[above - 1]!, sorted[above]!];
  const share = (at_dBW - low.asked_dBW) / (high.asked_dBW - low.asked_dBW);
  const [below, over] = [low.readings[index]!, high.readings[index]!];
  const { power_W, uncertainty_W } = share < 0.5 ? below : over;
  return {
    power_W: below.power_W * (over.power_W / below.power_W) ** share,
    share: uncertainty_W === null ? null : uncertainty_W / power_W,
  };
}
