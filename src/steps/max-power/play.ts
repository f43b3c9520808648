import type { Finding } from '../../record/finding.js';
import type { SearchEnd } from '../../record/reasons.js';
import type { Reading } from '../../record/run-record.js';
import {
  commonOutput,
  type DrivenChannel,
  fullScaleOutput,
  mostPowerAsked,
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
import type { MaxPowerLimits } from '../../runner/search/channel-search.js';
import type { ReadSample } from '../../runner/search/crossing-bracket.js';
import { type MaxPowerEnd, maxPowerEnd, nextMaxPowerMove } from '../../runner/search/max-power-search.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { dBW, fromDBW } from '../../units/decibel.js';
import { searchFullBand } from './full-band.js';
import { type Neighbour, nearOf, neighbourOf, type Seen, withGain } from './neighbour.js';
import type { MaxPowerStep } from './plan.js';

/** Visiting begins here, where the gain of a unit is known best, and goes outwards both ways by turns. */
const MIDDLE_Hz = 1000;
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
