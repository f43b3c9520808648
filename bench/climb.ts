import { spawnSync } from 'node:child_process';
import type { RunEvent } from '../src/runner/run-event.js';
import { withRig } from '../test/audio/rig.js';
import { runClimb } from './run-climb.js';

interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

/**
 * What a climb takes in time, on a private sound server with a limiter as the unit, in two ways:
 *
 * - beyond the signal: (wall - streamed) / streamed, where streamed is all that was played and captured, from the
 *   first block of a play to the last. It tells what opening, aligning, falling silent and closing cost.
 * - over the records: (wall - records) / records, with one record for each point, which is all that is read. It also
 *   tells what is streamed in vain, while a change of level is on its way through the buffers and settles.
 */
export async function climbBench(): Promise<BenchLine[]> {
  if (spawnSync('pulseaudio', ['--version']).error) {
    return [{ name: 'climb of a limiter', text: 'not measured: needs PulseAudio', value: Number.NaN }];
  }
  const { outcome, reason, events, streamed_s } = await withRig({ limit_dB: -6 }, runClimb);
  if (outcome !== 'completed') throw new Error(`the climb ended as ${outcome}: ${reason}`);
  const records_s = events.reduce((sum, event) => sum + recorded_s(event), 0);
  const wall_s = events.findLast((event) => event.kind === 'finished')!.at_s;
  const points = events.filter((event) => event.kind === 'point').length;
  const line = (name: string, signal_s: number, of: string) => {
    const value = (wall_s - signal_s) / signal_s;
    const text = `${(100 * value).toFixed(1)} % (${wall_s.toFixed(1)} s for ${signal_s.toFixed(1)} s of ${of})`;
    return { name, text, value };
  };
  return [
    line('wall time of a climb beyond its signal', streamed_s, 'signal streamed'),
    line('wall time of a climb over its records', records_s, `records, ${points} points`),
  ];
}

function recorded_s(event: RunEvent): number {
  if (event.kind !== 'point') return 0;
  const { rate_Hz, channels } = event.capture;
  return channels[0]!.samples.length / rate_Hz;
}
