import type { SignalSource } from '../../src/bench/bench.js';
import type { CoherentTone } from '../../src/signal/coherent-tone.js';
import { type Change, renderSchedule } from '../../src/signal/schedule.js';
import { steady } from '../../src/signal/stimulus.js';

/** A change of a steady tone, as most tests want it. */
export interface ToneChange extends Omit<Change, 'stimulus'> {
  readonly tone: CoherentTone;
}

export const changesOf = (schedule: readonly ToneChange[]): Change[] =>
  schedule.map(({ tone, ...change }) => ({ ...change, stimulus: steady(tone) }));

/** A schedule as something a bench can play. */
export function scheduled(schedule: readonly Change[], channels: number): SignalSource {
  return {
    render: (start, frames) => renderSchedule(schedule, channels, start, frames),
    horizonFrames: 2 * Math.max(0, ...schedule.map(({ stimulus }) => stimulus.frames)),
  };
}

export const toneSource = (schedule: readonly ToneChange[], channels: number): SignalSource =>
  scheduled(changesOf(schedule), channels);

export const renderTone = (
  schedule: readonly ToneChange[],
  channels: number,
  start: number,
  frames: number,
): Float64Array[] => renderSchedule(changesOf(schedule), channels, start, frames);
