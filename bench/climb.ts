import { spawnSync } from 'node:child_process';
import { CHANGE_s } from '../src/runner/capture/tone-player.js';
import type { PointCapture } from '../src/runner/course/run-request.js';
import { withRig } from '../test/audio/rig.js';
import { runClimb } from './run-climb.js';

interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

/**
 * What a climb takes in time, on a private sound server with a limiter as the unit:
 *
 * - from level to level, the search itself: what passes between the first level and the last beyond the records, once with
 *   the ramp and settling of each level counted as needed (a level must be reached before it can be read) and once not;
 * - the whole run with opening, wiring check, gain and closing: what passes beyond the signal, from the first block of
 *   every play to its last.
 */
export async function climbBench(): Promise<BenchLine[]> {
  if (spawnSync('pulseaudio', ['--version']).error) {
    return [{ name: 'climb of a limiter', text: 'not measured: needs PulseAudio', value: Number.NaN }];
  }
  const { outcome, reason, events, streamed_s } = await withRig({ limit_dB: -6 }, runClimb);
  if (outcome !== 'completed') throw new Error(`the climb ended as ${outcome}: ${reason}`);
  const levels = events.filter((event) => event.kind === 'point');
  const begun_s = levels.map(({ point }) => point.at_s);
  const search_s = begun_s.at(-1)! - begun_s[0]!;
  const records_s = levels.slice(0, -1).reduce((sum, { capture }) => sum + recorded_s(capture), 0);
  const changes_s = (levels.length - 1) * CHANGE_s;
  const wall_s = events.findLast((event) => event.kind === 'ended')!.at_s;
  return [
    beyond('level to level, beyond records and ramps', search_s, records_s + changes_s, 'records and ramps'),
    beyond('level to level, beyond records', search_s, records_s, `records, ${levels.length} levels`),
    beyond('whole run, beyond its signal', wall_s, streamed_s, 'signal streamed'),
  ];
}

function beyond(name: string, taken_s: number, needed_s: number, of: string): BenchLine {
  const value = (taken_s - needed_s) / needed_s;
  const text = `${(100 * value).toFixed(1)} % (${taken_s.toFixed(1)} s for ${needed_s.toFixed(1)} s of ${of})`;
  return { name, text, value };
}

function recorded_s({ rate_Hz, channels }: PointCapture): number {
  return channels[0]!.samples.length / rate_Hz;
}
