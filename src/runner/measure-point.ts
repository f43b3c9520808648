import type { ChannelChain } from '../calibration/chain.js';
import { BenchFault } from '../errors/ohmest-error.js';
import type { ChannelAnalysis } from '../measure/analysis.js';
import { type Settling, settlingOf } from '../measure/settled.js';
import type { Point, Reading } from '../record/run-record.js';
import type { CoherentTone } from '../stimulus/coherent-tone.js';
import { analyseByPairs, type DrawnAnalysis } from './analyse-by-pairs.js';
import { peakFor } from './drive.js';
import { readingFrom } from './reading.js';
import { throwIfInterrupted } from './run-end.js';
import type { PointCapture } from './run-event.js';
import { sensedCurrent } from './sensed-current.js';
import { captureSettled, type SettledCapture } from './settled-capture.js';
import type { StepStage } from './walk.js';

/** Samples were lost in every capture of a point: the path cannot be trusted. */
export class CaptureDamaged extends BenchFault {
  readonly code = 'CAPTURE_DAMAGED';
}

/** One setting to be read. */
export interface Aim {
  readonly tone: CoherentTone;
  /**
   * Interface output volts (rms) of each measured channel, in the order of the step's `measured`. A channel that is
   * driven but not read in this pass plays the least of them.
   */
  readonly outputs_V: readonly number[];
  readonly asked_W: number | null;
}

/** A setting that has been read. */
export interface MeasuredPoint {
  readonly point: Point;
  readonly readings: readonly Reading[];
  readonly capture: PointCapture;
  /** How the record behind each reading had settled; null: not known. */
  readonly settlings: readonly (Settling | null)[];
}

const CAPTURE_TRIES = 3;
/** A break that leaves the tone in step is most likely the unit's own, and will be there again. */
const IN_STEP_TRIES = 2;

/** Plays one setting, waits until it has settled, and reads every measured channel. Stores nothing. */
export async function measurePoint(stage: StepStage, aim: Aim): Promise<MeasuredPoint> {
  const begun_s = stage.walk.at_s();
  const { capture, analyses } = await captureAndAnalyse(stage, aim);
  return readPoint(stage, { aim, begun_s, capture, analyses });
}

/** A record of what plays, already analysed, and when it began. */
export interface TakenRecord {
  readonly aim: Aim;
  readonly begun_s: number;
  readonly capture: SettledCapture;
  readonly analyses: readonly DrawnAnalysis[];
}

/** Turns a record of what plays into a point, tells the watch what to expect, and the loads how warm they got. */
export function readPoint(stage: StepStage, { aim, begun_s, capture, analyses }: TakenRecord): MeasuredPoint {
  const { walk, step } = stage;
  const { setup } = walk.request;
  const chains = step.measured.map((channel) => walk.chain(channel));
  const loads = step.measured.map((channel) => walk.load(channel, step.load_ohm));
  const peaks = chains.map((chain, i) => peakFor(chain, aim.outputs_V[i]!));
  const point: Point = {
    number: walk.nextPoint,
    step: step.id,
    stepKind: step.kind,
    nominal_Hz: aim.tone.nominal_Hz,
    frequency_Hz: aim.tone.frequency_Hz,
    driven: step.driven,
    load_ohm: step.load_ohm,
    mains_V: step.mains_V,
    cell: step.cell,
    level_dB: levelOf(peaks),
    asked_W: aim.asked_W,
    at_s: begun_s,
  };
  const benchFlags = walk.request.bench.flags ?? [];
  const record_s = aim.tone.frames / aim.tone.rate_Hz;
  const seconds = walk.at_s() - begun_s;
  walk.heatUpTo(step, begun_s);
  const readings = analyses.map((analysis, i) =>
    readingFrom(analysis, {
      point,
      benchFlags,
      setup,
      chain: chains[i]!,
      load: loads[i]!,
      outputPeak: peaks[i]!,
      settled: capture.settled,
      settling: capture.settlings?.[i] ?? null,
      seconds: record_s,
      meanPower: (power_W) => walk.heat.during(chains[i]!.channel, loads[i]!, power_W, seconds, record_s),
      current: currentOf(capture, i, chains[i]!, aim.tone),
      overdue: walk.overdue.has(chains[i]!.channel),
      spectrum: analysis.drawn,
    }),
  );
  const settlings = readings.map((_, i) => capture.settlings?.[i] ?? null);
  readings.forEach((reading, i) => {
    walk.rememberSettling(reading, settlings[i]!);
  });
  warmLoads(stage, readings, seconds);
  stage.learn(gainsOf(readings, peaks));
  const samples = step.measured.map((channel, i) => ({ channel, samples: capture.channels[i]! }));
  return { point, readings, capture: { rate_Hz: setup.rate_Hz, channels: samples }, settlings };
}

/** What a reading tells of a channel that plays: load volts per unit of digital peak. */
function gainsOf(readings: readonly Reading[], peaks: readonly number[]): Map<number, number> {
  const playing = readings.flatMap(({ channel, voltage_V }, i) =>
    peaks[i]! > 0 ? [[channel, voltage_V / peaks[i]!] as const] : [],
  );
  return new Map(playing);
}

/**
 * Tells the loads what they got over the last `seconds`. A driven channel that nobody reads is taken to give what the
 * strongest of those that are read gives.
 */
export function warmLoads(
  { walk, step }: StepStage,
  powers: readonly { readonly channel: number; readonly power_W: number }[],
  seconds: number,
): void {
  const most_W = Math.max(...powers.map(({ power_W }) => power_W));
  const given = step.driven.map((channel) => {
    const power_W = powers.find((candidate) => candidate.channel === channel)?.power_W ?? most_W;
    return [channel, power_W] as const;
  });
  walk.heatUpTo(step, walk.at_s() - seconds);
  walk.warm(step, new Map(given));
}

function currentOf(capture: SettledCapture, index: number, chain: ChannelChain, tone: CoherentTone) {
  const { current } = chain;
  const samples = capture.currents?.[index];
  if (!current || !samples) return null;
  return sensedCurrent(capture.channels[index]!, samples, { ...chain, current }, tone);
}

function levelOf(peaks: readonly number[]): number {
  return 20 * Math.log10(Math.max(...peaks));
}

/** Digital peak of every channel of the bench; those that are not driven are silent. */
export function benchPeaks({ walk, step }: StepStage, { outputs_V }: Aim): number[] {
  const unread_V = Math.min(...outputs_V);
  return walk.request.setup.channels.map((chain) => {
    if (!step.driven.includes(chain.channel)) return 0;
    return peakFor(chain, outputs_V[step.measured.indexOf(chain.channel)] ?? unread_V);
  });
}

/** Takes captures until one has no gap. */
async function captureAndAnalyse(stage: StepStage, aim: Aim) {
  const { walk, step, player } = stage;
  const peaks = benchPeaks(stage, aim);
  let from = player.set(aim.tone, peaks);
  for (let tries = 1; ; tries += 1) {
    const capture = await record(stage, aim.tone, from, levelOf(peaks));
    const analyses = await analyseByPairs(capture.channels, aim.tone, step.band);
    const damaged = analyses.findIndex((analysis) => analysis.gaps.length > 0);
    if (damaged < 0) return { capture, analyses };
    const lost = slipped(analyses);
    if (!lost && tries >= IN_STEP_TRIES) {
      await walk.note(
        'capture',
        `channel ${step.measured[damaged]} breaks off again, but in step, as a unit does: kept`,
      );
      return { capture, analyses };
    }
    if (tries === CAPTURE_TRIES) throw damagedFault(step.measured[damaged]!, aim.tone);
    // Only what has left the tone out of step is a loss of the path; a unit's own kinks must not end a run.
    if (lost) walk.guard.countDropout();
    const what = lost ? 'samples lost on' : 'a break, but in step, on';
    await walk.note('capture', `${what} channel ${step.measured[damaged]}: the point is taken again`);
    from = player.set(aim.tone, peaks);
  }
}

/** Samples are lost one by one: a smaller slip is the unit's own doing, or a loss of whole periods. */
const LEAST_SLIP_frames = 0.25;

/**
 * Whether any break has left the tone out of step, as lost samples do. A unit whose supply ripples makes sudden
 * kinks of its own when single cycles touch the rails, and one with a crossover fault steps of its own: such a reading
 * is kept, with the flag that it carries.
 */
function slipped(analyses: readonly ChannelAnalysis[]): boolean {
  return analyses.some(({ gaps }) =>
    gaps.some(({ slip_frames }) => slip_frames !== null && Math.abs(slip_frames) >= LEAST_SLIP_frames),
  );
}

async function record(
  stage: StepStage,
  tone: CoherentTone,
  from: number,
  level_dB: number,
): Promise<SettledCapture> {
  const { walk, step, player } = stage;
  const channels = step.measured.map((channel) => walk.indexOf(channel));
  const currents = step.measured.some((channel) => walk.chain(channel).current !== null);
  return captureSettled(player, { tone, from, channels, currents }, settlingOf, async () => {
    throwIfInterrupted(walk.request.signal);
    await walk.showProgress(step, tone.frequency_Hz, level_dB);
  });
}

function damagedFault(channel: number, tone: CoherentTone): CaptureDamaged {
  return new CaptureDamaged({
    what: `samples were lost in ${CAPTURE_TRIES} captures running at ${tone.frequency_Hz.toFixed(1)} Hz`,
    where: `channel ${channel}`,
    mend: 'Give the sound interface larger buffers or the computer less to do, and check the cable',
  });
}
