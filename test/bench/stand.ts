import { expect } from 'vitest';
import type { Bench, SignalSource, SoundBlock } from '../../src/bench/bench.js';
import { rampFramesOf } from '../../src/signal/envelope.js';
import { renderSchedule } from '../../src/signal/schedule.js';
import type { Stimulus } from '../../src/signal/stimulus.js';
import { worstMisfit } from './stimulus-fit.js';
import { lockIn, rampAt, rms, TestTone, worstBreak } from './test-tone.js';

/** How exactly a bench can be held to the contract: its device, loads and converters set the limits. */
export interface BenchContractOptions {
  /** True when the bench's clock is the world's: then no upper limit is put on the time that passes. */
  readonly realTime?: boolean;
  /** Nominal load passed to `configure`. Default 8. */
  readonly load_ohm?: number;
  /** Digital peak that is played; a level step doubles it. Default 0.1. */
  readonly peak?: number;
  /** Captured amplitude over played amplitude; null (the default) when it is not known. */
  readonly gain?: number | null;
  /** Relative tolerance on `gain` and on the doubling of a level step. Default 1e-3. */
  readonly gainTolerance?: number;
  /** Most by which the tone's frequency may differ. Default 5. */
  readonly frequency_ppm?: number;
  /** Most rms in an idle channel relative to a driven one. Default 1e-4. */
  readonly idleRatio?: number;
  /** Most break of a tone's course (click, splice, noise peak) relative to its amplitude. Default 2e-3. */
  readonly breakRatio?: number;
  /** Which bench channels have a current shunt. Default: none has. */
  readonly currentTaps?: readonly boolean[];
  /** Most by which anything but a steady tone may differ from what was played, relative to its peak. Default 2e-2: a lost sample of
   * a tone near 1 kHz makes 13 % at 48 kHz. */
  readonly misfitRatio?: number;
  /** Whether `gain` holds at other frequencies than that of the test tone, too. Default true. */
  readonly flat?: boolean;
  /** By how many frames the device is late, which its bench does not take out. Default 0. */
  readonly late_frames?: number;
  /** Seconds at the start that are not judged. Default 0.3. */
  readonly settle_s?: number;
}

export type Limits = Required<BenchContractOptions>;

const DEFAULTS: Limits = {
  realTime: false,
  load_ohm: 8,
  peak: 0.1,
  gain: null,
  gainTolerance: 1e-3,
  frequency_ppm: 5,
  idleRatio: 1e-4,
  breakRatio: 2e-3,
  currentTaps: [],
  misfitRatio: 2e-2,
  late_frames: 0,
  flat: true,
  settle_s: 0.3,
};

export function limitsOf(options: BenchContractOptions): Limits {
  return { ...DEFAULTS, ...options };
}

/** Short takes, so that a bench that works take by take has to join several in every check. */
const HORIZON = 8192;
const RAMP_S = 0.02;

/** One open bench and the signals that the checks play on it. */
export class Stand {
  readonly all: readonly number[];
  /** Frames in one cycle of a tone near 1 kHz. */
  readonly period: number;

  constructor(
    readonly bench: Bench,
    readonly limits: Limits,
  ) {
    this.all = Array.from({ length: bench.channels }, (_, i) => i + 1);
    this.period = Math.round(bench.rate_Hz / 1000);
  }

  frames(seconds: number): number {
    return Math.round(seconds * this.bench.rate_Hz);
  }

  /** Whole cycles in at most so many seconds. */
  cycles(seconds: number): number {
    return Math.floor(this.frames(seconds) / this.period);
  }

  /** The first frame after `seconds` at which a cycle begins. */
  cycleAfter(seconds: number): number {
    return Math.ceil(this.frames(seconds) / this.period) * this.period;
  }

  steady(driven: readonly number[]): TestTone {
    return this.#tone(driven, rampAt(0, this.frames(RAMP_S), 0, this.limits.peak));
  }

  /** A tone that doubles its level from frame `at` on. */
  stepped(at: number): TestTone {
    const { peak } = this.limits;
    const rise = rampAt(0, this.frames(RAMP_S), 0, peak);
    const step = rampAt(at, this.frames(RAMP_S), 0, peak);
    return this.#tone(this.all, (frame) => rise(frame) + step(frame));
  }

  /** A stimulus at full level on every channel. */
  source(of: Stimulus): SignalSource {
    const { channels } = this.bench;
    const peaks = this.all.map(() => this.limits.peak);
    const schedule = [{ at: 0, stimulus: of, peaks, rampFrames: rampFramesOf(of.envelope, of.rate_Hz) }];
    return {
      horizonFrames: HORIZON,
      render: (start, frames) => renderSchedule(schedule, channels, start, frames),
    };
  }

  /** Plays a stimulus, and checks that all of it comes back on every channel from `settle_s` on and nothing else. */
  async expectStimulus(of: Stimulus, seconds: number): Promise<void> {
    const from = this.frames(this.limits.settle_s);
    const captured = await this.record(this.source(of), from + this.frames(seconds));
    for (const samples of captured) {
      const found = worstMisfit(samples.subarray(from), of, from - this.limits.late_frames);
      expect(found.peak).toBeGreaterThan(0);
      expect(found.misfit / found.peak).toBeLessThan(this.limits.misfitRatio);
      if (this.limits.gain === null || !this.limits.flat) continue;
      const gain = found.peak / this.limits.peak;
      expect(Math.abs(gain / this.limits.gain - 1)).toBeLessThan(this.limits.gainTolerance);
    }
  }

  /** A tone that cannot be had from frame `at` on. */
  breaking(at: number, fault: Error): SignalSource {
    const tone = this.steady(this.all);
    return {
      horizonFrames: HORIZON,
      render: (start, frames) => {
        if (start + frames > at) throw fault;
        return tone.render(start, frames);
      },
    };
  }

  #tone(driven: readonly number[], level: (frame: number) => number): TestTone {
    const { channels } = this.bench;
    return new TestTone({ channels, driven, period: this.period, level, horizonFrames: HORIZON });
  }

  /** Rms of a captured steady tone on the first channel. */
  async loudness(): Promise<number> {
    const from = this.cycleAfter(this.limits.settle_s);
    const captured = await this.record(this.steady(this.all), from + this.frames(0.1));
    return rms(captured[0]!, from);
  }

  /** At least `frames` captured frames of every channel, each block checked on the way. */
  async record(source: SignalSource, frames: number): Promise<Float64Array[]> {
    return (await this.recordAll(source, frames)).channels;
  }

  /** The same, with what the current shunts gave: null where a channel has none. */
  async recordAll(source: SignalSource, frames: number): Promise<Recorded> {
    const blocks: (readonly Float64Array[])[] = [];
    const shunts: (readonly (Float64Array | null)[])[] = [];
    let next = 0;
    for await (const { start, channels, currents } of this.bench.play(source)) {
      expect(start).toBe(next);
      this.#expectCurrents(currents, channels[0]!.length);
      shunts.push((currents ?? []).map((current) => current?.slice() ?? null));
      expect(channels).toHaveLength(this.bench.channels);
      const length = channels[0]!.length;
      expect(length).toBeGreaterThan(0);
      for (const channel of channels) {
        expect(channel).toHaveLength(length);
        expect(channel.every(Number.isFinite)).toBe(true);
      }
      // A bench may use its buffers again once it is asked for more.
      blocks.push(channels.map((channel) => channel.slice()));
      next += length;
      if (next >= frames) break;
    }
    const { currentTaps } = this.limits;
    return {
      channels: this.all.map((_, i) => joined(blocks.map((block) => block[i]!))),
      currents: this.all.map((_, i) => (currentTaps[i] ? joined(shunts.map((block) => block[i]!)) : null)),
    };
  }

  /** Beside the voltages, as long as they, where a channel has a tap; absent where none has. */
  #expectCurrents(currents: SoundBlock['currents'], length: number): void {
    const { currentTaps } = this.limits;
    if (!currentTaps.includes(true)) {
      expect(currents).toBeUndefined();
      return;
    }
    expect(currents!.map((current) => current !== null)).toEqual(
      this.all.map((_, i) => currentTaps[i] ?? false),
    );
    for (const current of currents!) {
      if (!current) continue;
      expect(current).toHaveLength(length);
      expect(current.every(Number.isFinite)).toBe(true);
    }
  }

  /** Checks frequency, level and course of a tone from frame `from` on; gives its rms. */
  expectTone(samples: Float64Array, from: number): number {
    const { period, limits } = this;
    const cycles = Math.floor((samples.length - from) / period / 2);
    const early = lockIn(samples, from, cycles, period);
    const late = lockIn(samples, from + cycles * period, cycles, period);
    expect(early.amplitude).toBeGreaterThan(0);
    const turns = (late.phase_rad - early.phase_rad) / (2 * Math.PI);
    const slip_ppm = (1e6 * (turns - Math.round(turns))) / cycles;
    expect(Math.abs(slip_ppm)).toBeLessThan(limits.frequency_ppm);
    const broken = worstBreak(samples, from, samples.length, period);
    expect(broken).toBeLessThan(limits.breakRatio * late.amplitude);
    if (limits.gain !== null) {
      const gain = late.amplitude / limits.peak;
      expect(Math.abs(gain / limits.gain - 1)).toBeLessThan(limits.gainTolerance);
    }
    return late.amplitude / Math.SQRT2;
  }
}

/** What a bench gave back, one entry a channel. */
export interface Recorded {
  readonly channels: Float64Array[];
  readonly currents: (Float64Array | null)[];
}

function joined(parts: readonly Float64Array[]): Float64Array {
  const whole = new Float64Array(parts.reduce((frames, part) => frames + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
