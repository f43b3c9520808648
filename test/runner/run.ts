import type { Bench } from '../../src/bench/bench.js';
import { readBench } from '../../src/bench/bench-file.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { type RunEnding, runPlan } from '../../src/runner/course/run-plan.js';
import type { Ask, AskReading, CourseEvent } from '../../src/runner/course/run-request.js';
import type { LoadMemory } from '../../src/safety/load-memory.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import type { PlanStep } from '../../src/sequence/plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';

/**
 * A bench file of `channels` equal channels on which digital full scale is 100 V peak at the load, and
 * 1 V rms at the output, so that a digital gain of 1 is a voltage gain of 37 dB.
 */
export function benchText(channels: number, more = ''): string {
  const channel = `
  - output: {full_scale: 1 V rms}
    input: {full_scale: 4 V peak, uncertainty: 0.2 %}
    attenuator: {ratio: 25, rating: 200 V peak, uncertainty: 0.1 %}
    load: {nominal: 8 ohm, rating: 400 W, uncertainty: 0.3 %}`;
  return `name: Test bench\ninterface: {kind: simulated, twin: ideal-40, rate: 48 kHz}\n${more}channels:${channel.repeat(channels)}\n`;
}

export function benchOf(text: string): BenchSetup {
  return readBench(text, 'benches/test-bench.yaml');
}

export interface Played {
  readonly ending: RunEnding;
  readonly events: readonly CourseEvent[];
  of<K extends CourseEvent['kind']>(kind: K): Extract<CourseEvent, { kind: K }>[];
}

export interface PlayOptions {
  readonly ask?: Ask;
  readonly askReading?: AskReading;
  readonly signal?: AbortSignal;
  readonly onEvent?: (event: CourseEvent) => void;
  /** Changes made to every step after it has been laid out. */
  readonly change?: (step: PlanStep) => PlanStep;
  /** What other runs have left in the loads. */
  readonly memory?: LoadMemory;
}

/** Lays out a sequence for a bench, plays it, and hands over all that was said. */
export async function play(
  sequence: string,
  setup: BenchSetup,
  bench: Bench,
  options: PlayOptions = {},
): Promise<Played> {
  const events: CourseEvent[] = [];
  const plan = makePlan(readSequence(sequence, 'test.yaml'), setup);
  const { change = (step) => step } = options;
  const ending = await runPlan({
    plan: { ...plan, steps: plan.steps.map(change) },
    bench,
    setup,
    ask: options.ask ?? (async () => true),
    askReading: options.askReading,
    memory: options.memory ?? null,
    signal: options.signal ?? new AbortController().signal,
    listener: (event) => {
      events.push(event);
      options.onEvent?.(event);
    },
  });
  const of: Played['of'] = (kind) => events.filter((event) => event.kind === kind) as never;
  return { ending, events, of };
}
