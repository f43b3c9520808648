import { type Crossing, exceededBelow, lastCrossing, widestStep_dB } from '../../measure/crossing.js';
import type { FlagCode } from '../../measure/flags.js';
import type { Finding, Terms } from '../../record/finding.js';
import type { Reason, SearchEnd } from '../../record/reasons.js';
import type { Reading } from '../../record/run-record.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import type { Walk } from '../course/walk.js';
import { byLevel, contradiction, type ReadSample } from '../search/crossing-bracket.js';
import { crossingBudgets } from '../search/curve-budgets.js';
import { findingOf, sineOf } from './finding-of.js';

/** Limits that differ by less than this share are one and the same. */
const SAME = 1e-6;

/**
 * What set the highest level of a search: the interface, or the step, which may have it from the load.
 *
 * @param atFullScale whether the interface reached full scale before the step's limit
 */
export function levelLimit(walk: Walk, step: EnergisedStep, atFullScale: boolean): SearchEnd {
  if (atFullScale) return { by: 'interface-full-scale' };
  const { measured, load_ohm, most_W } = step;
  const rating_W = Math.min(...measured.map((channel) => walk.load(channel, load_ohm).rating_W));
  const by = Math.abs(most_W / rating_W - 1) < SAME ? 'load-rating' : 'step-limit';
  return { by, limit_W: most_W };
}

/** What a search at one tone has read, and why it went no higher. */
export interface Searched {
  readonly tone: CoherentTone;
  /** In the order taken. */
  readonly samples: readonly ReadSample[];
  /** Null: a channel was far into clipping, or every one was past the stop. */
  readonly end: SearchEnd | null;
}

/**
 * The maximum power of one channel at a THD+N limit, or the highest power that was delivered within it; and where the limit is
 * passed at lower power.
 *
 * @param index of the channel within the readings
 */
export function maxPowerOf(
  walk: Walk,
  step: EnergisedStep,
  { tone, samples, end }: Searched,
  index: number,
  threshold_percent: number,
  more: Terms = {},
): Finding[] {
  const channel = step.measured[index]!;
  const own = byLevel(samples).map(({ readings }) => readings[index]!);
  const unsure = contradiction(samples, index, threshold_percent);
  const found = unsure ? null : lastCrossing(own, threshold_percent);
  const stretches = exceededBelow(own, threshold_percent);
  const rests = unsure ?? (found ? aroundCrossing(own, threshold_percent) : own);
  const terms: Terms = {
    threshold_percent,
    band_Hz: own[0]!.band_Hz,
    from_W: Math.min(...own.map(({ power_W }) => power_W)),
    ...more,
  };
  const about = { statistic: 'at-threshold', stimulus: sineOf(tone) } as const;
  const power = findingOf(step, channel, {
    quantity: 'max-power',
    ...about,
    ...(found
      ? figureOf(found, crossingBudgets({ walk, tone, readings: own }, found, threshold_percent))
      : notFound(own, unsure, threshold_percent, end)),
    terms: found ? { ...terms, bracket_dB: found.bracket_dB } : terms,
    points: rests.map(({ point }) => point),
    flags: flagsOf(rests),
  });
  if (stretches.length === 0) return [power];
  const over = own.filter(({ thdn_percent }) => thdn_percent >= threshold_percent);
  const exceeded = findingOf(step, channel, {
    quantity: 'exceeded-below',
    ...about,
    value: stretches,
    terms: { ...terms, step_dB: widestStep_dB(own, found?.power_W ?? Number.POSITIVE_INFINITY) },
    points: over
      .filter(({ power_W }) => stretches.some(([low_W, high_W]) => power_W >= low_W && power_W <= high_W))
      .map(({ point }) => point),
    flags: flagsOf(over),
  });
  return [power, exceeded];
}

const figureOf = ({ power_W }: Crossing, budgets: ReturnType<typeof crossingBudgets>) => ({
  value: power_W,
  uncertainty: budgets[0]?.expanded ?? null,
  budgets,
});

/** Why there is no crossing, and what was delivered within the limit. */
function notFound(
  own: readonly Reading[],
  unsure: readonly [Reading, Reading] | null,
  threshold_percent: number,
  end: SearchEnd | null,
): Pick<Finding, 'value' | 'bound' | 'why' | 'uncertainty'> {
  const none = { value: null, bound: 'found', uncertainty: null } as const;
  if (unsure) {
    const [first, again] = unsure.map(({ power_W, thdn_percent }) => ({ power_W, thdn_percent }));
    return { ...none, why: { code: 'changed', first: first!, again: again! } };
  }
  // Output that folds back gives less at the highest level than at one before.
  const kept = own
    .filter(({ thdn_percent }) => thdn_percent < threshold_percent)
    .reduce<Reading | null>((most, one) => (most && most.power_W > one.power_W ? most : one), null);
  if (!kept) return { ...none, why: neverBelow(own) };
  const reached_W = kept.power_W;
  const why: Reason = end ? { code: 'not-reached', end, reached_W } : { code: 'other-channel-clipped' };
  return { value: reached_W, bound: 'at-least', why, uncertainty: kept.uncertainty_W };
}

/** The reading that came nearest to a limit which none kept. */
export function neverBelow(readings: readonly Reading[]): Reason {
  const best = readings.reduce((least, one) => (one.thdn_percent < least.thdn_percent ? one : least));
  return { code: 'never-below', best_percent: best.thdn_percent, best_W: best.power_W };
}

/** The two readings that the last crossing lies between. */
function aroundCrossing(own: readonly Reading[], threshold_percent: number): readonly Reading[] {
  const rising = [...own].sort((a, b) => a.power_W - b.power_W);
  const over = rising.findLastIndex(
    ({ thdn_percent }, i) =>
      i > 0 && thdn_percent >= threshold_percent && rising[i - 1]!.thdn_percent < threshold_percent,
  );
  return over < 0 ? [] : [rising[over - 1]!, rising[over]!];
}

/** Every flag of some readings, once. */
export const flagsOf = (readings: readonly Reading[]): FlagCode[] => [
  ...new Set(readings.flatMap(({ flags }) => flags)),
];
