import { decibelsOfPower } from '../../units/decibel.js';
import type { Claim } from '../claim/claim.js';
import { given } from '../claim/claim-words.js';
import { MODEL_MOST_PERCENT, powerGainBetween } from './clipping-model.js';
import { worked } from './restate-load.js';
import type { SingleStep } from './restating-step.js';

/** Power of a unit at one distortion, as its own measured curve crosses it. */
export interface CurveCrossing {
  readonly threshold_percent: number;
  readonly power_W: number;
}

/**
 * The power at another distortion: from the unit's own crossings where they span both, else from the clipping
 * models, with the range between the hardest and the softest.
 *
 * @param claim with a distortion
 * @param curve crossings of one channel under one setting, in any order; empty when nothing was measured
 */
export function restateDistortion(
  claim: Claim,
  percent: number,
  curve: readonly CurveCrossing[],
): SingleStep {
  const from = claim.distortion_percent!;
  const what = `from ${given(from, '%')} to ${given(percent, '%')}`;
  const [before, after] = [alongCurve(curve, from), alongCurve(curve, percent)];
  if (before !== null && after !== null) return byCurve(claim, percent, what, before, after);
  if (Math.max(from, percent) > MODEL_MOST_PERCENT)
    return {
      what,
      kind: 'not-computed',
      arithmetic: '',
      assumes: `no model of clipping holds above ${MODEL_MOST_PERCENT} %: it has to be measured`,
      power_W: null,
      range_W: null,
      claim: null,
    };
  return byModel(claim, percent, what);
}

function byCurve(claim: Claim, percent: number, what: string, before: number, after: number): SingleStep {
  const power_W = claim.power_W * (after / before);
  return {
    what,
    kind: 'exact',
    arithmetic: `${worked(claim.power_W, 'W')} x ${worked(after, 'W')} / ${worked(before, 'W')} (${worked(decibelsOfPower(after / before), 'dB')}) = ${worked(power_W, 'W')}`,
    assumes: "the unit's own measured curve of distortion against power",
    power_W,
    range_W: null,
    claim: { ...claim, power_W, distortion_percent: percent },
  };
}

function byModel(claim: Claim, percent: number, what: string): SingleStep {
  const { hard, range } = powerGainBetween(claim.distortion_percent!, percent);
  const power_W = claim.power_W * hard;
  const [least, most] = [claim.power_W * range[0], claim.power_W * range[1]];
  return {
    what,
    kind: 'estimate',
    arithmetic: `${worked(claim.power_W, 'W')} x ${worked(range[0], '1')} to ${worked(range[1], '1')} = ${worked(least, 'W')} to ${worked(most, 'W')}; ideal hard clipping ${worked(hard, '1')} = ${worked(power_W, 'W')}`,
    assumes:
      'the unit clips harder than a cubic curve and softer than an ideal hard clipper; with much feedback it is near the hard one',
    power_W,
    range_W: [least, most],
    claim: { ...claim, power_W, distortion_percent: percent },
  };
}

/** Power at a distortion by straight line in log against log between crossings; null outside of them. */
function alongCurve(curve: readonly CurveCrossing[], percent: number): number | null {
  const rising = [...curve].sort((a, b) => a.threshold_percent - b.threshold_percent);
  const exact = rising.find(({ threshold_percent }) => Math.abs(threshold_percent / percent - 1) < 1e-9);
  if (exact) return exact.power_W;
  const above = rising.findIndex(({ threshold_percent }) => threshold_percent > percent);
  if (above <= 0) return null;
  const [low, high] = [rising[above - 1]!, rising[above]!];
  const share =
    Math.log(percent / low.threshold_percent) / Math.log(high.threshold_percent / low.threshold_percent);
  return low.power_W * (high.power_W / low.power_W) ** share;
}
