import type { Reading } from '../../record/run-record.js';
import { commonOutput, type DrivenChannel, mostPowerAsked, outputFor } from '../../runner/capture/drive.js';
import type { MaxPowerLimits } from '../../runner/search/channel-search.js';
import { byLevel, type LevelSample } from '../../runner/search/crossing-bracket.js';
import { crossingLevel, curveAround, type Expected } from '../../runner/search/expected-crossing.js';
import { maxPowerEnd } from '../../runner/search/max-power-search.js';
import { dBW, fromDBW, voltageRatio } from '../../units/decibel.js';
import type { MaxPowerStep } from './plan.js';

/** The first look at a frequency lies this far below its neighbour's maximum power: the gain there is not known yet. */
const CAUTION_dB = 1;
/** A maximum power is not expected to move by more from one frequency to the next. */
const MOST_DRIFT_dB = 0.5;
/** A smaller move is chance or interpolation, and tells nothing of the next. */
const LEAST_DRIFT_dB = 0.03;

/** What one frequency leaves to the next. */
export interface Neighbour {
  /** With the gain at that frequency. */
  readonly channels: readonly DrivenChannel[];
  /** By channel. */
  readonly expected: readonly Expected[];
  /** Interface output to begin below when no channel has an expectation; null: begin from below. */
  readonly begin_V: number | null;
}

/** What one frequency has shown so far. */
export interface Seen {
  readonly samples: readonly LevelSample[];
  /** By the order of `samples`. */
  readonly readings: readonly (readonly Pick<Reading, 'gain_dB'>[])[];
}

/** What a search has shown, with its limits. */
interface Searched extends Seen {
  readonly limits: MaxPowerLimits;
}

/** Where the next search begins, and what it may expect; null: from below. */
export function nearOf({ channels, expected, begin_V }: Neighbour): MaxPowerLimits['near'] {
  const outputs_V = expected.flatMap((crossing, i) =>
    crossing && 'linear_dBW' in crossing
      ? [outputFor(channels[i]!, fromDBW(crossing.linear_dBW + Math.min(0, crossing.drift_dB)))]
      : [],
  );
  if (outputs_V.length === 0 && begin_V === null) return null;
  const output_V = outputs_V.length > 0 ? Math.min(...outputs_V) : begin_V!;
  return { first_dBW: dBW(mostPowerAsked(channels, output_V)) - CAUTION_dB, expected };
}

/** The channels with the gain that the lowest look at this frequency has shown. */
export function withGain(
  channels: readonly DrivenChannel[],
  samples: readonly LevelSample[],
  readings: Seen['readings'],
): readonly DrivenChannel[] {
  const lowest = samples.indexOf(byLevel(samples)[0]!);
  const taken = readings[lowest];
  if (!taken) return channels;
  return channels.map((channel, i) => ({ ...channel, gain: voltageRatio(taken[i]!.gain_dB) }));
}

/** What a search leaves to the next frequency. @param from what it began from itself */
export function neighbourOf(step: MaxPowerStep, captures: Searched, from: Neighbour): Neighbour {
  const { samples, readings } = captures;
  const channels = withGain(from.channels, samples, readings);
  const expected = from.expected.map((before, i) =>
    expectedOf(step, captures, from, { before, i, channels }),
  );
  const top_dBW = byLevel(samples).at(-1)!.asked_dBW;
  return { channels, expected, begin_V: commonOutput(from.channels, fromDBW(top_dBW)) };
}

/** What a channel's captures let the next frequency expect. */
function expectedOf(
  { threshold_percent }: MaxPowerStep,
  { samples, limits }: Searched,
  from: Neighbour,
  { before, i, channels }: { before: Expected; i: number; channels: readonly DrivenChannel[] },
): Expected {
  const linear = (asked_dBW: number) =>
    dBW(mostPowerAsked([channels[i]!], commonOutput(from.channels, fromDBW(asked_dBW))));
  const known = before && 'linear_dBW' in before ? before : null;
  const at_dBW = crossingLevel(samples, i, threshold_percent);
  if (at_dBW === null) {
    if (maxPowerEnd(samples, i, limits) !== 'never-below') return known && { ...known, drift_dB: 0 };
    const thdn = (sample: LevelSample) => sample.readings[i]!.thdn_percent;
    const nearest = samples.reduce((best, sample) => (thdn(sample) < thdn(best) ? sample : best));
    return { nearest_dBW: linear(nearest.asked_dBW) };
  }
  const linear_dBW = linear(at_dBW);
  // Before the first search there is a level to start from at best, which tells of no drift.
  const drift_dB = known && known.curve.length > 0 ? linear_dBW - known.linear_dBW : 0;
  const curve = curveAround(samples, i, threshold_percent, known?.curve ?? []);
  return { linear_dBW, drift_dB: steady(drift_dB), curve };
}

/** A drift that is more than chance, within bounds. */
function steady(drift_dB: number): number {
  if (Math.abs(drift_dB) < LEAST_DRIFT_dB) return 0;
  return Math.max(-MOST_DRIFT_dB, Math.min(drift_dB, MOST_DRIFT_dB));
}
