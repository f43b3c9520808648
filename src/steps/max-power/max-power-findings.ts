import { lastCrossing } from '../../measure/crossing.js';
import type { FlagCode } from '../../measure/flags.js';
import type { CeilingResult } from '../../record/old-results.js';
import type { Reading } from '../../record/run-record.js';
import type { Walk } from '../../runner/course/walk.js';
import { type CeilingEnd, type CeilingLimits, ceilingEnd } from '../../runner/search/ceiling-search.js';
import { byLevel, type LevelSample, lastBracket } from '../../runner/search/crossing-bracket.js';
import { crossingBudgets } from '../../runner/search/curve-budgets.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { dBW } from '../../units/decibel.js';
import type { MaxPowerStep } from './plan.js';

/** The looks that a search took at one frequency. */
export interface CeilingLooks {
  readonly tone: CoherentTone;
  readonly samples: readonly LevelSample[];
  /** By look, in the order taken. */
  readonly readings: readonly (readonly Reading[])[];
  readonly limits: CeilingLimits;
}

/** One result a measured channel: its crossing with what stands behind it, or why there is none. */
export function ceilingResults(walk: Walk, step: MaxPowerStep, looks: CeilingLooks): CeilingResult[] {
  const { tone, samples, readings, limits } = looks;
  return step.measured.map((channel, i) => {
    const own = readings.map((taken) => taken[i]!);
    const found = lastCrossing(own, step.threshold_percent);
    const end = ceilingEnd(samples, i, limits);
    const budgets = found && crossingBudgets({ walk, tone, readings: own }, found, step.threshold_percent);
    return {
      kind: 'ceiling',
      step: step.id,
      channel,
      driven: step.driven,
      load_ohm: step.load_ohm,
      nominal_Hz: tone.nominal_Hz,
      frequency_Hz: tone.frequency_Hz,
      threshold_percent: step.threshold_percent,
      power_W: found?.power_W ?? null,
      uncertainty_W: budgets?.[0]?.expanded ?? null,
      bracket_dB: found?.bracket_dB ?? null,
      captures: samples.length,
      flags: flagsOf(samples, readings, i, step.threshold_percent),
      note: found ? '' : whyNone(step, end, limits, own),
      ...(budgets ? { budgets } : {}),
    };
  });
}

/** Those of the two looks that the crossing lies between; of all looks where there is none. */
function flagsOf(
  samples: readonly LevelSample[],
  readings: readonly (readonly Reading[])[],
  index: number,
  threshold_percent: number,
): FlagCode[] {
  const bracket = lastBracket(byLevel(samples), index, threshold_percent);
  const telling = readings
    .map((taken) => taken[index]!)
    .filter((reading) => !bracket || reading === bracket.low.reading || reading === bracket.high.reading);
  return [...new Set(telling.flatMap(({ flags }) => flags))];
}

function whyNone(
  step: MaxPowerStep,
  end: CeilingEnd,
  { most_dBW }: CeilingLimits,
  own: readonly Reading[],
): string {
  const { threshold_percent } = step;
  if (end === 'never-below') {
    const best = own.reduce((least, reading) =>
      reading.thdn_percent < least.thdn_percent ? reading : least,
    );
    const nearest = `${best.thdn_percent.toPrecision(2)} % at ${best.power_W.toPrecision(3)} W`;
    return `THD+N was never below ${threshold_percent} %, at best ${nearest}`;
  }
  if (end === 'far-over') return 'the search ended because another channel was far into clipping';
  const top = `${Math.max(...own.map(({ power_W }) => power_W)).toPrecision(4)} W`;
  if (end === 'output-stopped-following')
    return `THD+N stayed below ${threshold_percent} % up to ${top}, where the output no longer followed the drive`;
  return most_dBW < dBW(step.most_W) - 0.01
    ? `THD+N stayed below ${threshold_percent} % up to ${top}, where the interface output reaches full scale`
    : `THD+N stayed below ${threshold_percent} % up to ${top}, at the highest power that this step may request`;
}
