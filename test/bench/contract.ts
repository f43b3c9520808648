import { describe, expect, it } from 'vitest';
import type { Bench, SignalSource } from '../../src/bench/bench.js';
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
  /** Seconds at the start that are not judged. Default 0.3. */
  readonly settle_s?: number;
}

type Limits = Required<BenchContractOptions>;

const DEFAULTS: Limits = {
  realTime: false,
  load_ohm: 8,
  peak: 0.1,
  gain: null,
  gainTolerance: 1e-3,
  frequency_ppm: 5,
  idleRatio: 1e-4,
  breakRatio: 2e-3,
  settle_s: 0.3,
};

/** Short takes, so that a bench that works take by take has to join several in every check. */
const HORIZON = 8192;
const RAMP_S = 0.02;

/**
 * The suite that every bench must pass: what `src/bench/bench.ts` promises, checked from outside.
 *
 * @param name of the bench, for the report
 * @param open makes a bench that has not been opened yet, and says how to clear up after it (the suite
 *   itself opens and closes the bench)
 */
export function benchContract(
  name: string,
  open: () => Promise<{ bench: Bench; cleanup?: () => Promise<void> }>,
  options: BenchContractOptions = {},
): void {
  const limits: Limits = { ...DEFAULTS, ...options };

  const withBench = (check: (stand: Stand) => Promise<void>) => async () => {
    const { bench, cleanup } = await open();
    try {
      await bench.open();
      await check(new Stand(bench, limits));
    } finally {
      await bench.close();
      await cleanup?.();
    }
  };

  describe(`${name} keeps the bench contract`, () => {
    describe('signal', () => signalChecks(withBench, limits));
    describe('life', () => lifeChecks(withBench, limits));
  });
}

type WithBench = (check: (stand: Stand) => Promise<void>) => () => Promise<void>;

function signalChecks(withBench: WithBench, limits: Limits): void {
  it(
    'yields whole, finite blocks that follow on from frame 0',
    withBench(async (stand) => {
      // The stand checks every block it is handed.
      const channels = await stand.record(stand.steady(stand.all), stand.frames(0.4));
      expect(channels).toHaveLength(stand.bench.channels);
    }),
  );

  it(
    'gives back an unbroken tone of the played frequency on driven channels and silence on idle ones',
    withBench(async (stand) => {
      const driven = stand.all.slice(0, 1);
      await stand.bench.configure({ load_ohm: limits.load_ohm, driven });
      const from = stand.cycleAfter(limits.settle_s);
      const captured = await stand.record(stand.steady(driven), from + stand.frames(0.5));
      const tone = stand.expectTone(captured[0]!, from);
      for (const idle of captured.slice(1)) {
        expect(rms(idle, from)).toBeLessThan(limits.idleRatio * tone);
      }
    }),
  );

  it(
    'carries a tone on every channel at once',
    withBench(async (stand) => {
      await stand.bench.configure({ load_ohm: limits.load_ohm, driven: stand.all });
      const from = stand.cycleAfter(limits.settle_s);
      const captured = await stand.record(stand.steady(stand.all), from + stand.frames(0.5));
      for (const channel of captured) stand.expectTone(channel, from);
    }),
  );

  it(
    'plays a ramped level step without a click and without a step in phase',
    withBench(async (stand) => {
      await stand.bench.configure({ load_ohm: limits.load_ohm, driven: stand.all });
      const from = stand.cycleAfter(limits.settle_s);
      const cycles = stand.cycles(0.25);
      const at = from + cycles * stand.period;
      const after = at + stand.cycles(0.2) * stand.period;
      const captured = await stand.record(stand.stepped(at), after + cycles * stand.period);
      for (const channel of captured) {
        const low = lockIn(channel, from, cycles, stand.period);
        const high = lockIn(channel, after, cycles, stand.period);
        expect(Math.abs(high.amplitude / low.amplitude - 2)).toBeLessThan(2 * limits.gainTolerance);
        expect(Math.abs(high.phase_rad - low.phase_rad)).toBeLessThan(0.01);
        const broken = worstBreak(channel, from, channel.length, stand.period);
        expect(broken).toBeLessThan(limits.breakRatio * high.amplitude);
      }
    }),
  );

  it(
    'asks its source for every frame, never leaving a hole',
    withBench(async (stand) => {
      const source = stand.steady(stand.all);
      const wanted = stand.frames(0.5);
      await stand.record(source, wanted);
      let known = 0;
      for (const { start, frames } of source.asked) {
        expect(start).toBeGreaterThanOrEqual(0);
        expect(start).toBeLessThanOrEqual(known);
        expect(frames).toBeGreaterThan(0);
        known = Math.max(known, start + frames);
      }
      expect(known).toBeGreaterThanOrEqual(wanted);
    }),
  );
}

function lifeChecks(withBench: WithBench, limits: Limits): void {
  it(
    'lets its clock advance by what was played',
    withBench(async (stand) => {
      const before_s = stand.bench.now_s();
      const captured = await stand.record(stand.steady(stand.all), stand.frames(0.5));
      const played_s = captured[0]!.length / stand.bench.rate_Hz;
      const passed_s = stand.bench.now_s() - before_s;
      expect(passed_s).toBeGreaterThanOrEqual(played_s - 1e-6);
      // A virtual clock may count a start-up or a ramp down, but no more.
      if (!limits.realTime) expect(passed_s).toBeLessThan(played_s + 1);
    }),
  );

  it(
    'starts again at frame 0 after an early end, and leaves the first source alone',
    withBench(async (stand) => {
      const first = stand.steady(stand.all);
      await stand.record(first, 1);
      const asked = first.asked.length;
      await stand.record(stand.steady(stand.all), stand.frames(0.2));
      expect(first.asked).toHaveLength(asked);
    }),
  );

  it(
    'refuses a second play while one is going on, which continues undisturbed',
    withBench(async (stand) => {
      const playing = stand.bench.play(stand.steady(stand.all));
      const block = (await playing.next()).value!;
      const second = async () => stand.bench.play(stand.steady(stand.all)).next();
      await expect(second()).rejects.toMatchObject({ code: 'BENCH_BUSY' });
      const next = (await playing.next()).value!;
      expect(next.start).toBe(block.start + block.channels[0]!.length);
      await playing.return();
    }),
  );

  it(
    'ends with the error of a source that throws, falls silent and can play again',
    withBench(async (stand) => {
      const fault = new Error('the source broke');
      const broken = stand.breaking(stand.frames(0.3), fault);
      await expect(stand.record(broken, stand.frames(1))).rejects.toBe(fault);
      const from = stand.cycleAfter(limits.settle_s);
      const quiet = await stand.record(stand.steady([]), from + stand.frames(0.1));
      // The gain is not always known, so silence is judged against a tone captured afterwards.
      const loud = await stand.loudness();
      for (const channel of quiet) expect(rms(channel, from)).toBeLessThan(limits.idleRatio * loud);
    }),
  );

  it(
    'lets time pass in silence, and stops waiting when told to',
    withBench(async (stand) => {
      const before_s = stand.bench.now_s();
      await stand.bench.idle(0.05);
      const passed_s = stand.bench.now_s() - before_s;
      expect(passed_s).toBeGreaterThan(0.049);
      await stand.bench.idle(3600, AbortSignal.abort());
      expect(stand.bench.now_s() - before_s).toBeLessThan(3600);
      if (limits.realTime) {
        const stop = new AbortController();
        const waiting = stand.bench.idle(3600, stop.signal);
        stop.abort();
        await waiting;
      }
    }),
  );

  it(
    'can be closed twice, and refuses to play afterwards',
    withBench(async (stand) => {
      await stand.record(stand.steady(stand.all), 1);
      await stand.bench.close();
      await stand.bench.close();
      const late = async () => stand.bench.play(stand.steady(stand.all)).next();
      await expect(late()).rejects.toMatchObject({ code: 'BENCH_CLOSED' });
    }),
  );
}

/** One open bench and the signals that the checks play on it. */
class Stand {
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
    const blocks: (readonly Float64Array[])[] = [];
    let next = 0;
    for await (const { start, channels } of this.bench.play(source)) {
      expect(start).toBe(next);
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
    return this.all.map((_, i) => joined(blocks.map((block) => block[i]!)));
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

function joined(parts: readonly Float64Array[]): Float64Array {
  const whole = new Float64Array(parts.reduce((frames, part) => frames + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
