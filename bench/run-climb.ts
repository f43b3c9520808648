import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { AudioBench } from '../src/bench/audio/audio-bench.js';
import type { SignalSource, SoundBlock } from '../src/bench/bench.js';
import { readBench } from '../src/bench/bench-file.js';
import { runPlan } from '../src/runner/course/run-plan.js';
import type { CourseEvent } from '../src/runner/course/run-request.js';
import { makePlan } from '../src/sequence/make-plan.js';
import { readSequence } from '../src/sequence/sequence-file.js';

const RIG = fileURLToPath(new URL('../test/audio/rig.yaml', import.meta.url));

const CLIMB = `
name: One climb
load: 8 ohm
driven: all
steps:
  - climb: {id: climb, frequency: 1 kHz, from: 1 W, marks: [0.1 %, 1 %]}
`;

/** An audio bench that counts what it hands out. */
class CountingBench extends AudioBench {
  streamedFrames = 0;

  override async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    for await (const block of super.play(source)) {
      this.streamedFrames += block.channels[0]!.length;
      yield block;
    }
  }
}

export interface Climbed {
  readonly outcome: string;
  readonly reason: string;
  readonly events: readonly CourseEvent[];
  /** Signal from the first block of every play to its last. */
  readonly streamed_s: number;
}

/** Climbs the limiter of a rig that is running, and gives back all that the runner said. */
export async function runClimb(): Promise<Climbed> {
  const setup = readBench(readFileSync(RIG, 'utf8'), RIG);
  const events: CourseEvent[] = [];
  const bench = new CountingBench(setup);
  const ending = await runPlan({
    plan: makePlan(readSequence(CLIMB, 'climb.yaml'), setup),
    bench,
    setup,
    listener: (event) => {
      events.push(event);
    },
    ask: async () => true,
    signal: new AbortController().signal,
  });
  return { ...ending, events, streamed_s: bench.streamedFrames / bench.rate_Hz };
}
