import type { Bench } from '../../src/bench/bench.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import type { Settling } from '../../src/measure/settled.js';
import type { Finding } from '../../src/record/finding.js';
import { earlierSessions, type RunSoFar } from '../../src/runner/course/earlier-sessions.js';
import { type RunEnding, runPlan } from '../../src/runner/course/run-plan.js';
import type { Ask, CourseEvent, RunRequest } from '../../src/runner/course/run-request.js';
import type { Plan } from '../../src/sequence/plan.js';

/** What a database would hold of the events that reached it. */
export function kept(
  events: readonly CourseEvent[],
): Omit<RunSoFar, 'findings'> & { readonly findings: readonly Finding[] } {
  const of = <K extends CourseEvent['kind']>(kind: K) =>
    events.filter((event) => event.kind === kind) as Extract<CourseEvent, { kind: K }>[];
  const points = of('point');
  return {
    points: points.map(({ point }) => point),
    readings: points.flatMap(({ readings }) => readings),
    findings: of('finding').map(({ finding }) => finding),
    probes: [],
    events: [...of('note'), ...of('step-entered')],
  };
}

function settlingsOf(events: readonly CourseEvent[]) {
  const settlings: { point: number; channel: number; settling: Settling }[] = [];
  for (const event of events)
    if (event.kind === 'point')
      event.readings.forEach(({ point, channel }, i) => {
        const settling = event.settlings[i];
        if (settling) settlings.push({ point, channel, settling });
      });
  return settlings;
}

/** A program that dies before it has stored an event: nothing of it, and nothing after it, is ever seen. */
class Died extends Error {}

export interface Session {
  readonly plan: Plan;
  readonly setup: BenchSetup;
  readonly bench: Bench;
  readonly ask?: Ask;
  readonly askReading?: RunRequest['askReading'];
}

/** What can be seen of a run, progress left out: it is never stored. */
export interface Seen {
  readonly events: CourseEvent[];
  readonly ending: RunEnding | null;
}

/**
 * Plays a session after those that came before, and dies once `most` more events are stored.
 *
 * @returns the events of all sessions; no ending when it died
 */
export async function session(
  { plan, setup, bench, ask = async () => true, askReading }: Session,
  before: readonly CourseEvent[] = [],
  most = Number.POSITIVE_INFINITY,
): Promise<Seen> {
  const events: CourseEvent[] = [...before];
  const gone = { outcome: 'interrupted', reason: 'the program ended without closing the run' };
  const earlier =
    before.length > 0 ? earlierSessions(plan, { ...kept(before), ...gone }, settlingsOf(before)) : null;
  try {
    const ending = await runPlan({
      plan,
      bench,
      setup,
      ask,
      ...(askReading && { askReading }),
      earlier,
      signal: new AbortController().signal,
      listener: (event) => {
        if (event.kind === 'progress') return;
        if (events.length >= before.length + most) throw new Died();
        events.push(event);
      },
    });
    return { events, ending };
  } catch (error) {
    if (!(error instanceof Died)) throw error;
    return { events, ending: null };
  }
}
