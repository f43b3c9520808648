import type { Finding } from '../../record/finding.js';
import type { SearchEnd } from '../../record/reasons.js';
import type { Reading } from '../../record/run-record.js';
import {
  commonOutput,
  type DrivenChannel,
  fullScaleOutput,
  mostPowerAsked,
  outputFor,
} from '../../runner/capture/drive.js';
import { findGain } from '../../runner/capture/find-gain.js';
import { powersFor } from '../../runner/capture/held-level.js';
import { agreedMove, LookAhead, mayFollow, type NextLevel } from '../../runner/capture/look-ahead.js';
import { measurePoint } from '../../runner/capture/measure-point.js';
import { diagnose } from '../../runner/causes/diagnose.js';
import { diagnoseLimit } from '../../runner/causes/diagnose-limit.js';
import { restIfHot } from '../../runner/course/rest.js';
import type { StepStage, Walk } from '../../runner/course/walk.js';
import { levelLimit, maxPowerOf } from '../../runner/findings/max-power-of.js';
import { requireSameUnit, storedLevels } from '../../runner/memory/same-unit.js';
import type { ReadSample } from '../../runner/search/crossing-bracket.js';
import { byLevel, type LevelSample } from '../../runner/search/crossing-bracket.js';
import { crossingLevel, curveAround, type Expected } from '../../runner/search/expected-crossing.js';
import {
  type MaxPowerEnd,
  type MaxPowerLimits,
  maxPowerEnd,
  nextMaxPowerMove,
} from '../../runner/search/max-power-search.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { dBW, fromDBW, voltageRatio } from '../../units/decibel.js';
import { searchFullBand } from './full-band.js';
import type { MaxPowerStep } from './plan.js';

/** Visiting begins here, where the gain of a unit is known best, and goes outwards both ways by turns. */
const MIDDLE_Hz = 1000;
/** The first look at a frequency lies this far below its neighbour's maximum power: the gain there is not known yet. */
const CAUTION_dB = 1;
/** A maximum power is not expected to move by more from one frequency to the next. */
const MOST_DRIFT_dB = 0.5;
/** A smaller move is chance or interpolation, and tells nothing of the next. */
const LEAST_DRIFT_dB = 0.03;
/** Progress at one frequency goes by this many captures. */
const USUAL_CAPTURES = 4;

/** The captures that a search took at one frequency. */
interface MaxPowerCaptures {
  readonly tone: CoherentTone;
  readonly samples: readonly ReadSample[];
  /** By capture, in the order taken. */
  readonly readings: readonly (readonly Reading[])[];
  readonly limits: MaxPowerLimits;
  /** Whether the interface reaches full scale before the step's limit. */
  readonly atFullScale: boolean;
}

/** What one frequency leaves to the next. */
interface Neighbour {
  /** With the gain at that frequency. */
  readonly channels: readonly DrivenChannel[];
  /** By channel. */
  readonly expected: readonly Expected[];
  /** Interface output to begin below when no channel has an expectation; null: begin from below. */
  readonly begin_V: number | null;
}

/**
 * Finds at each frequency the highest power that keeps the threshold, on every channel, all driven at one
 * output voltage. Frequencies are visited from 1 kHz outwards, so that each starts from its neighbour's
 * answer; each result is handed over as soon as it is found. After a sweep at the same setting a search for the
 * full-band power goes to the frequencies that decide, and to no others.
 */
export async function playMaxPower(stage: StepStage, step: MaxPowerStep): Promise<void> {
  await requireSameUnit(stage, stage.walk.stored(step.id), step.tones);
  const [middle, higher, lower] = visits(step.tones);
  const searched: MaxPowerCaptures[] = [];
  const at = async (tone: CoherentTone, from: Neighbour): Promise<Neighbour> => {
    stage.walk.progress.enter(String(tone.nominal_Hz));
    const captures = await searchAt(stage, step, tone, from);
    for (const finding of step.measured.flatMap((_, i) => powersOf(stage.walk, step, captures, i)))
      await stage.walk.emit({ kind: 'finding', finding });
    searched.push(captures);
    return neighbourOf(step, captures, from);
  };
  const swept = step.fullBand ? stage.walk.unit.sweptBands.latestAt(step) : null;
  if (swept) {
    if (stage.walk.stored(step.id).length === 0) await requireSameUnit(stage, swept.stored, step.tones);
    let from: Neighbour | null = null;
    await searchFullBand(stage, step, swept.tones, async (tone) => {
      from = await at(tone, from ?? (await startOf(stage, step, tone)));
      return { readings: searched.at(-1)!.readings, channels: from.channels };
    });
    stage.walk.progress.enter('causes');
    await diagnoseLimit(stage, searched, swept.tones, step.threshold_percent);
    return;
  }
  const first = await at(middle, await startOf(stage, step, middle));
  // By turns, so that bass and treble, of which one may take much longer, are met early and late alike.
  let [above, below] = [first, first];
  for (let i = 0; i < Math.max(higher.length, lower.length); i += 1) {
    if (higher[i]) above = await at(higher[i]!, above);
    if (lower[i]) below = await at(lower[i]!, below);
  }
  stage.walk.progress.enter('causes');
  await diagnose(stage, searched, step.threshold_percent);
}

/** What the search found for one channel, by its place among the measured ones. */
function powersOf(walk: Walk, step: MaxPowerStep, captures: MaxPowerCaptures, index: number): Finding[] {
  const { tone, samples } = captures;
  const end = searchEnd(walk, step, captures, maxPowerEnd(samples, index, captures.limits));
  return maxPowerOf(walk, step, { tone, samples, end }, index, step.threshold_percent, {
    captures: samples.length,
  });
}

function searchEnd(
  walk: Walk,
  step: MaxPowerStep,
  { atFullScale }: MaxPowerCaptures,
  end: MaxPowerEnd,
): SearchEnd | null {
  switch (end) {
    case 'found':
    case 'never-below':
    case 'far-over':
      return null;
    case 'output-stopped-following':
      return { by: end };
    case 'level-limit':
      return levelLimit(walk, step, atFullScale);
    default:
      return end satisfies never;
  }
}

/** The frequency nearest to 1 kHz, those above it rising, and those below it falling. */
function visits(tones: readonly CoherentTone[]): [CoherentTone, CoherentTone[], CoherentTone[]] {
  const off = (tone: CoherentTone) => Math.abs(Math.log(tone.nominal_Hz / MIDDLE_Hz));
  const rising = [...tones].sort((a, b) => a.nominal_Hz - b.nominal_Hz);
  const middle = rising.reduce((best, tone) => (off(tone) < off(best) ? tone : best));
  const index = rising.indexOf(middle);
  return [middle, rising.slice(index + 1), rising.slice(0, index).reverse()];
}

async function startOf(stage: StepStage, step: MaxPowerStep, tone: CoherentTone): Promise<Neighbour> {
  const channels = await findGain(stage, tone, step.from_W);
  const powers_W = step.start ? powersFor(stage.walk, step, step.start) : channels.map(() => null);
  const expected = powers_W.map((power_W) =>
    power_W === null ? null : { linear_dBW: dBW(power_W), drift_dB: 0, curve: [] },
  );
  return { channels, expected, begin_V: null };
}

async function searchAt(
  stage: StepStage,
  step: MaxPowerStep,
  tone: CoherentTone,
  from: Neighbour,
): Promise<MaxPowerCaptures> {
  const stored = stage.walk.stored(step.id).filter(({ point }) => point.nominal_Hz === tone.nominal_Hz);
  const concluded = stage.walk.hasFinding('max-power', step.id, tone.nominal_Hz);
  const samples = storedLevels(stored, from.channels);
  const readings: (readonly Reading[])[] = stored.map((point) => point.readings);
  const ahead = new LookAhead<NextLevel>();
  for (;;) {
    const { known, limits, atFullScale, move: wanted } = nextCapture(step, from, { samples, readings });
    const move = agreedMove(wanted, ahead.take());
    if (move.kind === 'done' || concluded) return { tone, samples, readings, limits, atFullScale };
    const { asked_dBW } = move;
    const drive = driveFor(from, known, asked_dBW);
    await restIfHot(stage, drive.asked_W, tone);
    const follower = ahead.follower((glimpses) => {
      const seen = {
        samples: [...samples, { asked_dBW, readings: glimpses }],
        readings: [...readings, glimpses],
      };
      return levelAhead(stage, from, nextCapture(step, from, seen), tone);
    });
    const measured = await measurePoint(stage, { tone, ...drive }, follower);
    await stage.walk.keep(measured);
    samples.push({ asked_dBW, readings: measured.readings });
    readings.push(measured.readings);
    stage.walk.progress.advance(Math.min(0.9, samples.length / USUAL_CAPTURES));
  }
}

/** What one frequency has shown so far. */
interface Seen {
  readonly samples: readonly LevelSample[];
  /** By the order of `samples`. */
  readonly readings: readonly (readonly Pick<Reading, 'gain_dB'>[])[];
}

/** Where a search stands: the gain as it is known by now, and with it the limits and the move. */
function nextCapture(step: MaxPowerStep, from: Neighbour, { samples, readings }: Seen) {
  const known = withGain(from.channels, samples, readings);
  const limits: MaxPowerLimits = {
    from_dBW: dBW(step.from_W),
    most_dBW: dBW(mostPowerAsked(from.channels, mostOutput(known, step))),
    threshold_percent: step.threshold_percent,
    near: nearOf(from),
  };
  const atFullScale = fullScaleOutput(known) < commonOutput(known, step.most_W);
  return { known, limits, atFullScale, move: nextMaxPowerMove(samples, limits) };
}

/** The outputs of a level, all of them alike, and the watts that it asks for. */
function driveFor(from: Neighbour, known: readonly DrivenChannel[], asked_dBW: number) {
  const output_V = commonOutput(from.channels, fromDBW(asked_dBW));
  return { outputs_V: known.map(() => output_V), asked_W: mostPowerAsked(known, output_V) };
}

function levelAhead(
  stage: StepStage,
  from: Neighbour,
  { known, move }: ReturnType<typeof nextCapture>,
  tone: CoherentTone,
): NextLevel | null {
  if (move.kind === 'done') return null;
  const { outputs_V, asked_W } = driveFor(from, known, move.asked_dBW);
  return mayFollow(stage, asked_W, tone) ? { tone, asked_dBW: move.asked_dBW, outputs_V } : null;
}

/** Highest output that asks none of the channels for more than the step allows, by what is known of their gain. */
function mostOutput(channels: readonly DrivenChannel[], { most_W }: MaxPowerStep): number {
  return Math.min(fullScaleOutput(channels), commonOutput(channels, most_W));
}

function nearOf({ channels, expected, begin_V }: Neighbour): MaxPowerLimits['near'] {
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
function withGain(
  channels: readonly DrivenChannel[],
  samples: readonly LevelSample[],
  readings: Seen['readings'],
): readonly DrivenChannel[] {
  const lowest = samples.indexOf(byLevel(samples)[0]!);
  const taken = readings[lowest];
  if (!taken) return channels;
  return channels.map((channel, i) => ({ ...channel, gain: voltageRatio(taken[i]!.gain_dB) }));
}

function neighbourOf(step: MaxPowerStep, captures: MaxPowerCaptures, from: Neighbour): Neighbour {
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
  { samples, limits }: MaxPowerCaptures,
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
