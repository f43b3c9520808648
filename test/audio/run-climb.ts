import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { AudioBench } from '../../src/bench/audio/audio-bench.js';
import { readBench } from '../../src/bench/bench-file.js';
import type { RunEvent } from '../../src/runner/run-event.js';
import { runPlan } from '../../src/runner/run-plan.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';

const RIG = fileURLToPath(new URL('rig.yaml', import.meta.url));

const CLIMB = `
name: One climb
load: 8 ohm
driven: all
steps:
  - climb: {id: climb, frequency: 1 kHz, from: 1 W, marks: [0.1 %, 1 %]}
`;

/** Climbs the limiter of a rig that is running, and gives back all that the runner said. */
export async function runClimb(): Promise<{ outcome: string; reason: string; events: RunEvent[] }> {
  const setup = readBench(readFileSync(RIG, 'utf8'), RIG);
  const events: RunEvent[] = [];
  const ending = await runPlan({
    plan: makePlan(readSequence(CLIMB, 'climb.yaml'), setup),
    bench: new AudioBench(setup),
    setup,
    listener: (event) => {
      events.push(event);
    },
    ask: async () => true,
    signal: new AbortController().signal,
  });
  return { ...ending, events };
}
