import { AudioBench } from '../../src/bench/audio/audio-bench.js';
import type { SignalSource } from '../../src/bench/bench.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import type { CurrentTap } from '../../src/calibration/chain.js';
import { whole } from '../bench/whole.js';
import { plainChain } from '../calibration/plain-chain.js';

export interface Wiring {
  readonly device?: string;
  readonly captureDevice?: string;
  readonly rate_Hz?: number;
  readonly bits?: 24 | 32;
  /** Interface channels that are opened. */
  readonly width?: number;
  /** Interface output and input of each bench channel, from 1. Default: straight, all of them. */
  readonly map?: readonly (readonly [output: number, input: number])[];
  /** Interface input of each bench channel's current shunt. Default: there are none. */
  readonly taps?: readonly number[];
}

/** A bench file as the audio bench sees it. */
export function audioSetup(wiring: Wiring = {}): BenchSetup {
  const {
    device = 'loop',
    captureDevice = device,
    rate_Hz = 48_000,
    bits = 24,
    width = 2,
    taps = [],
  } = wiring;
  const map = wiring.map ?? Array.from({ length: width }, (_, i) => [i + 1, i + 1] as const);
  return {
    name: 'rig',
    kind: 'audio',
    interface: {
      kind: 'audio',
      playDevice: device,
      captureDevice,
      bits,
      playChannels: width,
      captureChannels: width,
    },
    rate_Hz,
    channels: map.map(([output, input], i) => plainChain(i + 1, { output, input, current: tapOn(taps[i]) })),
    assumedGain_dB: 0,
    dcLimit_V: 1,
    floor: null,
    energises: true,
    clock: 'world',
    clockLimits_ppm: null,
    day: '2026-03-01',
    path: 'rig.yaml',
    text: '',
    sha256: '',
  };
}

function tapOn(input: number | undefined): CurrentTap | null {
  return input === undefined ? null : { input, fullScale_Vpk: 1, shunt_ohm: 0.1, stated: null };
}

/** Opens a bench, lets `use` work with it and closes it. */
export async function withBench<T>(wiring: Wiring, use: (bench: AudioBench) => Promise<T>): Promise<T> {
  const bench = new AudioBench(audioSetup(wiring));
  try {
    await bench.open();
    return await use(bench);
  } finally {
    await bench.close();
  }
}

/** A source from a function of channel (from 0) and frame. */
export function sourceOf(channels: number, sample: (channel: number, frame: number) => number): SignalSource {
  return {
    horizonFrames: 65_536,
    render: (start, frames) =>
      Array.from({ length: channels }, (_, channel) =>
        Float64Array.from({ length: frames }, (_, i) => sample(channel, start + i)),
      ),
  };
}

/** Plays and gives back the first `frames` captured frames of every channel. */
export const record = (bench: AudioBench, source: SignalSource, frames: number): Promise<Float64Array[]> =>
  whole(() => recordOnce(bench, source, frames));

/** What must have come back of every channel, and how nearly. */
export interface Expected {
  readonly sample: (channel: number, frame: number) => number;
  readonly error: number;
}

/**
 * The same, of which it is known what must come back. A busy machine loses samples that nobody tells of: a record that is right at
 * its beginning and breaks off later is taken again. What is wrong from its beginning, or breaks off each time, is given back.
 */
export async function recordWhole(
  bench: AudioBench,
  source: SignalSource,
  frames: number,
  { sample, error }: Expected,
): Promise<Float64Array[]> {
  const wrong = (heard: readonly Float64Array[], length: number) =>
    heard.some((samples, i) => worstDifference(samples.subarray(0, length), (n) => sample(i, n)) > error);
  for (let tries = 1; ; tries += 1) {
    const heard = await record(bench, source, frames);
    if (tries === TRIES || !wrong(heard, frames) || wrong(heard, frames / 20)) return heard;
  }
}

const TRIES = 3;

async function recordOnce(bench: AudioBench, source: SignalSource, frames: number): Promise<Float64Array[]> {
  const heard = Array.from({ length: bench.channels }, () => new Float64Array(frames));
  for await (const { start, channels } of bench.play(source)) {
    channels.forEach((samples, i) => {
      heard[i]!.set(samples.subarray(0, frames - start), start);
    });
    if (start + channels[0]!.length >= frames) break;
  }
  return heard;
}

export function worstDifference(
  captured: Float64Array,
  expected: (frame: number) => number,
  from = 0,
): number {
  let worst = 0;
  for (let i = from; i < captured.length; i += 1)
    worst = Math.max(worst, Math.abs(captured[i]! - expected(i)));
  return worst;
}
