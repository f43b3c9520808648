import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Probe } from '../../bench/probe.js';
import type { LoadMemory } from '../../safety/load-memory.js';
import type { Plan } from '../../sequence/plan.js';
import type { Ask, CourseEvent } from './course-event.js';
import type { EarlierSessions } from './earlier-sessions.js';

/** What a run is made of. */
export interface RunRequest {
  readonly plan: Plan;
  readonly bench: Bench;
  readonly setup: BenchSetup;
  /** What is sampled in the background; left out: nothing. */
  readonly probes?: readonly Probe[];
  /** Awaited: when it has returned, what it was told is safe with it. */
  readonly listener: (event: CourseEvent) => void | Promise<void>;
  readonly ask: Ask;
  readonly signal: AbortSignal;
  /** What earlier sessions of the run have left; null or absent for a new one. */
  readonly earlier?: EarlierSessions | null;
  /** What other runs have left in the loads; null or absent where nothing real can get warm. */
  readonly memory?: LoadMemory | null;
}
