import { SamplesLost } from '../../bench/bench-errors.js';
import { asTold, benchFault } from '../../errors/error-table.js';
import type { ChannelAnalysis } from '../../measure/analysis.js';
import { settlingOf } from '../../measure/settled.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { steady } from '../../signal/stimulus.js';
import { decibelsOfVoltage } from '../../units/decibel.js';
import { throwIfInterrupted } from '../course/run-end.js';
import type { StepStage } from '../course/walk.js';
import { againIfLost } from './again-if-lost.js';
import { analyseByPairs } from './analyse-by-pairs.js';
import { peakFor } from './drive.js';
import { type Glimpse, glimpsesOf } from './glimpse.js';
import { captureSettled, type FirstHalf, type SettledCapture } from './settled-capture.js';

/** Samples were lost in every capture of a point: the path cannot be trusted. */
export const CaptureDamaged = benchFault('CAPTURE_DAMAGED', asTold);

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

/** What may follow a record. */
export type NextAim = Pick<Aim, 'tone' | 'outputs_V'>;

/** What is to follow a record at once, decided while its second half is still to come. */
export interface Follower {
  /** By what the first half shows; null: the whole record is needed. */
  next(glimpses: readonly Glimpse[]): NextAim | null;
  /** The record did not settle in time, so that what followed it was taken back and the record begun again. */
  tooSoon(): void;
}

const CAPTURE_TRIES = 3;
/** A break that leaves the tone in step is most likely the unit's own, and will be there again. */
const IN_STEP_TRIES = 2;

/** Digital peak of every channel of the bench; those that are not driven are silent. */
export function benchPeaks({ walk, step }: StepStage, { outputs_V }: Pick<Aim, 'outputs_V'>): number[] {
  const unread_V = Math.min(...outputs_V);
  return walk.request.setup.channels.map((chain) => {
    if (!step.driven.includes(chain.channel)) return 0;
    return peakFor(chain, outputs_V[step.measured.indexOf(chain.channel)] ?? unread_V);
  });
}

/** Level of the loudest channel in decibels below digital full scale. */
export function loudestLevel(peaks: readonly number[]): number {
  return decibelsOfVoltage(Math.max(...peaks));
}

/** Takes captures until one has no gap. */
export async function captureAndAnalyse(stage: StepStage, aim: Aim, follower?: Follower) {
  const { walk, step, player } = stage;
  const peaks = benchPeaks(stage, aim);
  let from = player.set(steady(aim.tone), peaks);
  for (let tries = 1; ; tries += 1) {
    const follow = tries === 1 ? follower : undefined;
    const capture = await againIfLost(walk, 'the point is taken', () =>
      recordFollowed(stage, { aim, from, peaks }, follow).catch(async (error: unknown) => {
        if (!(error instanceof SamplesLost)) throw error;
        await player.stop();
        from = player.set(steady(aim.tone), peaks);
        throw error;
      }),
    );
    stage.captures.count(capture);
    const analyses = await analyseByPairs(capture.channels, aim.tone, step.band);
    const damaged = analyses.findIndex((analysis) => analysis.gaps.length > 0);
    if (damaged < 0) return { capture, analyses };
    const lost = slipped(analyses);
    if (!lost && tries >= IN_STEP_TRIES) {
      await walk.note(
        'capture',
        `channel ${step.measured[damaged]} breaks off again, but in step, so no sample is missing: the unit does it by itself; kept, and flagged`,
      );
      return { capture, analyses: analyses.map(withOwnKinks) };
    }
    if (tries === CAPTURE_TRIES) throw damagedFault(step.measured[damaged]!, aim.tone);
    // Only what has left the tone out of step is a loss of the path; a unit's own kinks must not end a run.
    if (lost) walk.guard.countDropout();
    const what = lost ? 'samples lost on' : 'a break, but in step, on';
    await walk.note('capture', `${what} channel ${step.measured[damaged]}: the point is taken again`);
    from = player.set(steady(aim.tone), peaks);
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

/** A setting as it plays. */
interface PlayedAim {
  readonly aim: Aim;
  /** Source frame from which on its level stands. */
  readonly from: number;
  readonly peaks: readonly number[];
}

/** Takes a record, and has the next level follow it where there is one to follow and the record settles in time. */
async function recordFollowed(
  stage: StepStage,
  played: PlayedAim,
  follower: Follower | undefined,
): Promise<SettledCapture> {
  if (!follower) return record(stage, played);
  const { aim, from, peaks } = played;
  const end = from + aim.tone.frames;
  let followed = false;
  const capture = await record(stage, played, async (halves) => {
    if (!stage.player.canFollow(end)) return false;
    const glimpses = await glimpsesOf(stage, aim, halves);
    // The bench has gone on meanwhile.
    const next = stage.player.canFollow(end) ? follower.next(glimpses) : null;
    if (next === null) return false;
    stage.player.follow(end, steady(next.tone), benchPeaks(stage, next));
    followed = true;
    return true;
  });
  if (capture.settled || !followed) return capture;
  stage.captures.retaken += 1;
  follower.tooSoon();
  return record(stage, { ...played, from: stage.player.set(steady(aim.tone), peaks) });
}

async function record(
  { walk, step, player }: StepStage,
  { aim: { tone }, from, peaks }: PlayedAim,
  firstHalf?: FirstHalf,
): Promise<SettledCapture> {
  const channels = step.measured.map((channel) => walk.indexOf(channel));
  const currents = step.measured.some((channel) => walk.chain(channel).current !== null);
  const tick = async () => {
    throwIfInterrupted(walk.request.signal);
    await walk.showProgress(step, tone.nominal_Hz, loudestLevel(peaks));
  };
  return captureSettled(player, { tone, from, channels, currents }, settlingOf, tick, firstHalf);
}

/** What breaks off again and again in step is a reading like any other: its flag must not say that samples are missing. */
function withOwnKinks<A extends Pick<ChannelAnalysis, 'flags'>>(analysis: A): A {
  const flags = analysis.flags.map((flag) => (flag === 'gap-in-capture' ? 'break-in-step' : flag));
  return { ...analysis, flags };
}

function damagedFault(channel: number, tone: CoherentTone): InstanceType<typeof CaptureDamaged> {
  return new CaptureDamaged({
    what: `samples were lost in ${CAPTURE_TRIES} captures running at ${tone.frequency_Hz.toFixed(1)} Hz`,
    where: `channel ${channel}`,
    mend: 'Give the sound interface larger buffers or the computer less to do, and check the cable',
  });
}
