import { spawnSync } from 'node:child_process';
import type { RunEvent } from '../src/runner/run-event.js';
import { withRig } from '../test/audio/rig.js';
import { runClimb } from '../test/audio/run-climb.js';

interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

/**
 * What a climb costs beyond its signal, on a private sound server with a limiter as the unit: (wall time - signal
 * time) / signal time. Signal time is what the converters had to hear: one record for each point, once settled.
 */
export async function climbBench(): Promise<BenchLine[]> {
  if (spawnSync('pulseaudio', ['--version']).error) {
    return [{ name: 'climb of a limiter', text: 'not measured: needs PulseAudio', value: Number.NaN }];
  }
  const { outcome, reason, events } = await withRig({ limit_dB: -6 }, runClimb);
  if (outcome !== 'completed') throw new Error(`the climb ended as ${outcome}: ${reason}`);
  const signal_s = events.reduce((sum, event) => sum + recorded_s(event), 0);
  const wall_s = events.findLast((event) => event.kind === 'finished')!.at_s;
  const points = events.filter((event) => event.kind === 'point').length;
  const overhead = (wall_s - signal_s) / signal_s;
  const text = `${(100 * overhead).toFixed(1)} % (${points} points, ${wall_s.toFixed(1)} s for ${signal_s.toFixed(1)} s of records)`;
  return [{ name: 'overhead of a climb of a limiter', text, value: overhead }];
}

function recorded_s(event: RunEvent): number {
  if (event.kind !== 'point') return 0;
  const { rate_Hz, channels } = event.capture;
  return channels[0]!.samples.length / rate_Hz;
}
