import { describe, expect, it } from 'vitest';
import type { Bench } from '../../src/bench/bench.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { stimulus, twoTone } from '../../src/signal/stimulus.js';
import { type BenchContractOptions, type Limits, limitsOf, Stand } from './stand.js';
import { lockIn, rms, worstBreak } from './test-tone.js';
import { whole } from './whole.js';

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
  const limits = limitsOf(options);

  const withBench = (check: (stand: Stand) => Promise<void>) => () =>
    whole(async () => {
      const { bench, cleanup } = await open();
      try {
        await bench.open();
        await check(new Stand(bench, limits));
      } finally {
        await bench.close();
        await cleanup?.();
      }
    });

  describe(`${name} keeps the bench contract`, () => {
    describe('signal', () => signalChecks(withBench, limits));
    describe('stimulus', () => stimulusChecks(withBench, limits));
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
    'hands out what current shunts read in step with the voltages, and only where there are any',
    withBench(async (stand) => {
      await stand.bench.configure({ load_ohm: limits.load_ohm, driven: stand.all });
      const from = stand.cycleAfter(limits.settle_s);
      const { channels, currents } = await stand.recordAll(stand.steady(stand.all), from + stand.frames(0.3));
      const cycles = Math.floor((channels[0]!.length - from) / stand.period);
      for (const [i, current] of currents.entries()) {
        if (!current) continue;
        const voltage = lockIn(channels[i]!, from, cycles, stand.period);
        const amps = lockIn(current, from, cycles, stand.period);
        expect(amps.amplitude).toBeGreaterThan(0);
        expect(Math.abs(amps.phase_rad - voltage.phase_rad)).toBeLessThan(0.02);
      }
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

function stimulusChecks(withBench: WithBench, limits: Limits): void {
  const lineAt = (stand: Stand, nominal_Hz: number) =>
    coherentTone({ nominal_Hz, rate_Hz: stand.bench.rate_Hz });
  const burst = (stand: Stand, on_s: number, period_s: number) =>
    stimulus({
      lines: [{ tone: lineAt(stand, 1000), share: 1 }],
      envelope: { kind: 'burst', on_s, period_s },
    });

  it(
    'gives back bursts of 10 ms whole, at their places and without a click, and silence between them',
    withBench(async (stand) => {
      await stand.bench.configure({ load_ohm: limits.load_ohm, driven: stand.all });
      await stand.expectStimulus(burst(stand, 0.01, 0.07), 0.5);
    }),
  );

  it(
    'gives back two lines at once',
    withBench(async (stand) => {
      await stand.bench.configure({ load_ohm: limits.load_ohm, driven: stand.all });
      const both = twoTone(lineAt(stand, 500), lineAt(stand, 3000), [4, 1]);
      await stand.expectStimulus(both, 0.4);
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
    'takes every wiring, and plays into the unit again afterwards',
    withBench(async (stand) => {
      const { bench, all } = stand;
      for (const wiring of ['open', 'loop', 'loop-through-attenuator', 'unit'] as const)
        await bench.configure({ load_ohm: limits.load_ohm, driven: all, wiring });
      const from = stand.cycleAfter(limits.settle_s);
      const captured = await stand.record(stand.steady(all), from + stand.frames(0.3));
      stand.expectTone(captured[0]!, from);
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
