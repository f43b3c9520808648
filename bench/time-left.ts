import { openSimulated } from '../src/bench/simulated/open-simulated.js';
import { planNamed } from '../src/cli/terminal/read-input.js';
import { runPlan } from '../src/runner/course/run-plan.js';
import type { CourseEvent } from '../src/runner/course/run-request.js';

/** A sequence on a bench, both of those that ship, with the claim that it needs. */
export interface TimedRun {
  readonly sequence: string;
  readonly bench: string;
  readonly claim?: string;
}

/** What a run said of the time left, held against the time that was left. */
export interface TimedSeen {
  /** By the clock of the bench. */
  readonly total_s: number;
  /** What the plan had promised. */
  readonly planned_s: number;
  /** Largest error of the time left from the first tenth on, as a share of the whole. */
  readonly error: number;
  /** When that was, as a share of the whole. */
  readonly at: number;
}

/** From this share of a run on it is held to its word. */
const FIRST_TENTH = 0.1;

/** Plays a run in simulated time and looks at every glance that it gives. @throws Error when it does not complete */
export async function timeRun(
  { sequence, bench, claim }: TimedRun,
  onEvent: (event: CourseEvent, at_s: number) => void = () => undefined,
): Promise<TimedSeen> {
  const { plan, setup } = planNamed(sequence, bench, undefined, claim);
  const simulated = openSimulated(setup);
  const said: { at_s: number; left_s: number }[] = [];
  const { outcome, reason } = await runPlan({
    plan,
    bench: simulated,
    setup,
    listener: (event) => {
      const at_s = simulated.now_s();
      if (event.kind === 'progress') said.push({ at_s, left_s: event.progress.left_s });
      onEvent(event, at_s);
    },
    ask: async () => true,
    signal: new AbortController().signal,
  });
  if (outcome !== 'completed') throw new Error(`${sequence} on ${bench} ended as ${outcome}: ${reason}`);
  const total_s = simulated.now_s();
  const errors = said
    .filter(({ at_s }) => at_s >= FIRST_TENTH * total_s)
    .map(({ at_s, left_s }) => ({ at: at_s / total_s, error: (at_s + left_s) / total_s - 1 }));
  const worst = errors.reduce((most, one) => (Math.abs(one.error) > Math.abs(most.error) ? one : most));
  return { total_s, planned_s: plan.estimate.seconds, ...worst };
}

/** Claims that each twin about keeps, for the sequences that need one. */
const CLAIMS: Readonly<Record<string, string>> = {
  'ideal-40': '90 W, 8 ohm',
  'stiff-pair': '90 W, 8 ohm',
  'seven-shared': '60 W, 8 ohm',
  'repaired-crossover': '30 W, 8 ohm',
  'installed-eight': '50 W, 8 ohm',
  'switching-treble': '90 W, 8 ohm',
};
const SEQUENCES = ['quick-look', 'rated-power', 'all-driven', 'repair-check', 'us-trade-rule-short'];
/** They take minutes of real time each, so that only some of them are played here. */
const LONG_RUNS: readonly TimedRun[] = [
  { sequence: 'full-band-8-ohm', bench: 'ideal-40' },
  { sequence: 'full-band-8-ohm', bench: 'repaired-crossover' },
  { sequence: 'full-band', bench: 'switching-treble' },
  { sequence: 'full-band', bench: 'installed-eight' },
];

/** Every sequence that ships in minutes, on every simulated bench, and some that take longer. */
export async function timeLeftBench(): Promise<{ name: string; text: string; value: number }[]> {
  const short = Object.entries(CLAIMS).flatMap(([bench, claim]) =>
    SEQUENCES.map((sequence): TimedRun => ({ sequence, bench, claim })),
  );
  const lines: { name: string; text: string; value: number }[] = [];
  for (const timed of [...short, ...LONG_RUNS]) {
    const { total_s, error, at } = await timeRun(timed);
    lines.push({
      name: `time left, ${timed.sequence} on ${timed.bench}`,
      text: `${(100 * error).toFixed(1)} % of ${total_s.toFixed(0)} s off at worst, ${(100 * at).toFixed(0)} % into the run`,
      value: Math.abs(error),
    });
  }
  return lines;
}
