import type { CoherentTone } from './coherent-tone.js';

/** From frame `at` on, move every channel to its new peak level along a raised cosine. */
export interface ToneChange {
  readonly at: number;
  readonly tone: CoherentTone;
  /** Digital peak (full scale = 1) of each bench channel; 0 is silence. */
  readonly peaks: readonly number[];
  readonly rampFrames: number;
}

/** A schedule broke one of its rules: a fault of the program, never of the user. */
export class ScheduleError extends Error {
  override readonly name = 'ScheduleError';
}

/** Share of the way from the old level to the new one, `elapsed` frames into a ramp. */
export function raisedCosine(elapsed: number, rampFrames: number): number {
  if (elapsed <= 0) return 0;
  if (elapsed >= rampFrames) return 1;
  return 0.5 - 0.5 * Math.cos((Math.PI * elapsed) / rampFrames);
}

/**
 * Level of one channel at one frame of a schedule. A change that comes while an earlier ramp still
 * runs starts from where that ramp has got to, so that the level never jumps.
 */
export function levelAt(schedule: readonly ToneChange[], channel: number, frame: number): number {
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
 * @throws ScheduleError when the change lies before the last one, or changes the frequency while a
 *   channel still sounds: that would click.
 */
export function withChange(schedule: readonly ToneChange[], change: ToneChange): ToneChange[] {
  const last = schedule.at(-1);
  if (last && change.at < last.at) throw new ScheduleError('a change of level lies before the last one');
  if (last && last.tone !== change.tone) {
    const sounding = last.peaks.some((_, channel) => levelAt(schedule, channel, change.at) !== 0);
    if (sounding) throw new ScheduleError('the frequency may change only in silence');
  }
  return [...schedule, change];
}

/**
 * The samples of a schedule: a sine of coherent frequency whose phase follows from the frame number
 * alone, sin(2 pi J n / N), so that level steps keep the phase and any stretch can be made again.
 *
 * @returns one array of `frames` samples per channel
 */
export function renderTone(
  schedule: readonly ToneChange[],
  channels: number,
  start: number,
  frames: number,
): Float64Array[] {
  const out = Array.from({ length: channels }, () => new Float64Array(frames));
  schedule.forEach((change, i) => {
    const from = Math.max(start, change.at);
    const to = Math.min(start + frames, schedule[i + 1]?.at ?? Number.POSITIVE_INFINITY);
    if (from >= to) return;
    const carrier = sine(change.tone, from, to - from);
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

function sine(tone: CoherentTone, from: number, count: number): Float64Array {
  const samples = new Float64Array(count);
  const step = (2 * Math.PI) / tone.frames;
  let index = (tone.cycles * (from % tone.frames)) % tone.frames;
  for (let i = 0; i < count; i += 1) {
    samples[i] = Math.sin(step * index);
    index += tone.cycles;
    if (index >= tone.frames) index -= tone.frames;
  }
  return samples;
}

/** A schedule as something a bench can play. */
export function toneSource(
  schedule: readonly ToneChange[],
  channels: number,
): { render(start: number, frames: number): Float64Array[]; readonly horizonFrames: number } {
  const longest = Math.max(0, ...schedule.map((change) => change.tone.frames));
  return {
    render: (start, frames) => renderTone(schedule, channels, start, frames),
    horizonFrames: 2 * longest,
  };
}
