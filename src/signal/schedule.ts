import { raisedCosine, rampFramesOf } from './envelope.js';
import { type Stimulus, StimulusError, sameStimulus, samplesOf } from './stimulus.js';

/** From frame `at` on, move every channel to its new peak level along a raised cosine. */
export interface Change {
  readonly at: number;
  readonly stimulus: Stimulus;
  /** Digital peak (full scale = 1) of each bench channel; 0 is silence. */
  readonly peaks: readonly number[];
  readonly rampFrames: number;
}

/** What plays at a block. */
export interface Playing {
  /** Null while nothing has been scheduled. */
  readonly stimulus: Stimulus | null;
  /** Digital peak of each bench channel. */
  readonly peaks: readonly number[];
  /** Whether the level stands: no ramp under way, none just over. The parts of a burst count as standing. */
  readonly steady: boolean;
}

/**
 * Level of one channel at one frame of a schedule. A change that comes while an earlier ramp still
 * runs starts from where that ramp has got to, so that the level never jumps.
 */
export function levelAt(schedule: readonly Change[], channel: number, frame: number): number {
  let level = 0;
  for (let i = 0; i < schedule.length; i += 1) {
    const change = schedule[i]!;
    if (change.at > frame) break;
    const until = Math.min(frame, schedule[i + 1]?.at ?? Number.POSITIVE_INFINITY);
    level += ((change.peaks[channel] ?? 0) - level) * raisedCosine(until - change.at, change.rampFrames);
  }
  return level;
}

/**
 * Adds a change to a schedule and returns the longer one.
 *
 * @throws StimulusError when the change lies before the last one, changes the stimulus while a channel still sounds, which
 *   would click, or takes longer over its ramp than the stimulus allows
 */
export function withChange(schedule: readonly Change[], change: Change): Change[] {
  const { envelope, rate_Hz } = change.stimulus;
  if (envelope.kind === 'burst' && change.rampFrames > rampFramesOf(envelope, rate_Hz))
    throw new StimulusError('a change of level takes longer than the edge of a burst');
  const last = schedule.at(-1);
  if (last && change.at < last.at) throw new StimulusError('a change of level lies before the last one');
  if (last && !sameStimulus(last.stimulus, change.stimulus)) {
    const sounding = last.peaks.some((_, channel) => levelAt(schedule, channel, change.at) !== 0);
    if (sounding) throw new StimulusError('the stimulus may change only in silence');
  }
  return [...schedule, change];
}

/**
 * The samples of a schedule. The samples of a stimulus follow from the frame number alone, so that level steps keep the
 * phase and any stretch can be made again.
 *
 * @returns one array of `frames` samples per channel
 */
export function renderSchedule(
  schedule: readonly Change[],
  channels: number,
  start: number,
  frames: number,
): Float64Array[] {
  const out = Array.from({ length: channels }, () => new Float64Array(frames));
  schedule.forEach((change, i) => {
    const from = Math.max(start, change.at);
    const to = Math.min(start + frames, schedule[i + 1]?.at ?? Number.POSITIVE_INFINITY);
    if (from >= to) return;
    const carrier = samplesOf(change.stimulus, from, to - from);
    const rampEnd = Math.min(to, change.at + change.rampFrames);
    for (let channel = 0; channel < channels; channel += 1) {
      const target = change.peaks[channel] ?? 0;
      const origin = levelAt(schedule.slice(0, i), channel, change.at);
      if (target === 0 && origin === 0) continue;
      const samples = out[channel]!;
      let frame = from;
      for (; frame < rampEnd; frame += 1) {
        const level = origin + (target - origin) * raisedCosine(frame - change.at, change.rampFrames);
        samples[frame - start] = level * carrier[frame - from]!;
      }
      for (; frame < to; frame += 1) samples[frame - start] = target * carrier[frame - from]!;
    }
  });
  return out;
}
