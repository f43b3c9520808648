import { assumptions } from '../../calibration/assumptions.js';
import { overdueRecords } from '../../calibration/used-records.js';
import { BenchFault } from '../../errors/ohmest-error.js';
import { END_CAUSES, type EndCause } from '../../record/end-cause.js';
import type { Finding } from '../../record/finding.js';
import type { Outcome } from '../../record/outcome.js';
import { stillSo } from '../../safety/question.js';
import { correction, setUp } from '../../safety/set-up.js';
import { tripLimits } from '../../safety/trip-limits.js';
import { TripWatch } from '../../safety/trip-watch.js';
import {
  type EnergisedStep,
  isEnergised,
  isWired,
  type PlanStep,
  planOf,
  type WiredStep,
} from '../../sequence/plan.js';
import { SINE_CREST } from '../../signal/stimulus.js';
import { playOf } from '../../steps/plays.js';
import { CaptureTally } from '../capture/capture-tally.js';
import { TonePlayer } from '../capture/tone-player.js';
import { lossFinding } from '../findings/finding-of.js';
import { checkWiring } from '../guard/wiring-check.js';
import { compileAhead } from './compile-ahead.js';
import { confirm, confirmSetUp } from './confirm.js';
import { type EarlierSessions, type Leg, legsOf } from './earlier-sessions.js';
import { PlanProgress } from './plan-progress.js';
import { RunEnd, throwIfInterrupted } from './run-end.js';
import type { RunRequest } from './run-request.js';
import { type StepStage, Walk } from './walk.js';

/** How a run ended. */
export interface RunEnding {
  readonly outcome: Outcome;
  readonly cause: EndCause;
  readonly reason: string;
}

/** How a run ends by a cause. */
export const endingBy = (cause: EndCause, reason: string): RunEnding => ({
  outcome: END_CAUSES[cause],
  cause,
  reason,
});

/**
 * Walks a plan on a bench from its first step to its last, and tells the listener everything on the way.
 * Whatever happens, the output is ramped to silence and the bench let go; how the run ended is the last
 * event and the return value. A fault of the bench ends the run as `fault`; only a fault of the program
 * or of the listener is thrown, after the output has been silenced.
 */
export async function runPlan(request: RunRequest): Promise<RunEnding> {
  const legs = legsOf(request.plan, request.earlier ?? null);
  const progress = new PlanProgress({ steps: legs.map(({ step }) => step) }, request.bench.energises);
  const walk = new Walk(request, progress);
  const ending = await walkSteps(walk, legs);
  await walk.emit({ kind: 'ended', ...ending, at_s: walk.at_s() });
  return ending;
}

async function walkSteps(walk: Walk, legs: readonly Leg[]): Promise<RunEnding> {
  const { bench } = walk.request;
  try {
    await inAnyCase(
      () => walkLegs(walk, legs),
      async () => {
        await bench.close();
        await walk.guard.close();
      },
    );
    return endingBy('last-step', 'all steps completed');
  } catch (error) {
    if (error instanceof RunEnd) return endingBy(error.by, error.reason);
    if (error instanceof BenchFault) return endingBy('bench-fault', error.message);
    throw error;
  }
}

/** Acts, and cleans up whatever comes of it. Of two errors the first decides: a trip stays a trip, and tells what else went wrong. */
async function inAnyCase(act: () => Promise<void>, cleanUp: () => Promise<void>): Promise<void> {
  try {
    await act();
  } catch (error) {
    await cleanUp().catch((further: unknown) => {
      if (!(error instanceof RunEnd)) throw error;
      const also = further instanceof Error ? further.message : String(further);
      throw new RunEnd(error.by, `${error.reason}; then: ${also}`);
    });
    throw error;
  }
  await cleanUp();
}

async function walkLegs(walk: Walk, legs: readonly Leg[]): Promise<void> {
  const { plan, bench, signal, earlier } = walk.request;
  await compileAhead(plan);
  await bench.open();
  await noteOpening(walk);
  if (earlier) await noteResumed(walk, earlier);
  await confirmStillSo(walk, false);
  let setUp: WiredStep | null = null;
  for (const [i, { step, entry }] of legs.entries()) {
    throwIfInterrupted(signal);
    walk.progress.begin(step);
    walk.guard.begin(step);
    const { id, kind: step_kind } = step;
    await walk.emit({ kind: 'step-entered', step: id, step_kind, entry, at_s: walk.at_s() });
    const served = connectedFor(step, legs.slice(i));
    if (served) await setUpFor(walk, served, setUp);
    if (served && !setUp) await confirmStillSo(walk, true);
    setUp = served ?? setUp;
    await playStep(walk, step);
    await walk.emit({ kind: 'step-left', step: id, at_s: walk.at_s() });
  }
}

/** The step whose connections are made before a step: its own, or for a question about them those that come next. */
function connectedFor(step: PlanStep, ahead: readonly Leg[]): WiredStep | null {
  if (isWired(step)) return step;
  if (!planOf(step).question(step)?.onceConnected) return null;
  return ahead.map((leg) => leg.step).find(isWired) ?? null;
}

async function playStep(walk: Walk, step: PlanStep): Promise<void> {
  if (isEnergised(step)) {
    await checkWhatChanged(walk, step);
    walk.progress.enter('aim');
    await playEnergised(walk, step);
  } else {
    walk.progress.enter('whole');
    await playOf(step)(walk);
  }
}

/** Has the operator change what must be changed, and tells the bench. */
async function setUpFor(walk: Walk, step: WiredStep, before: WiredStep | null): Promise<void> {
  const { plan, setup } = walk.request;
  const change = setUp(step, before, plan, setup);
  if (change) await confirmSetUp(walk, change);
  if (change) walk.wiringIsNew = true;
  await walk.request.bench.configure({ load_ohm: step.load_ohm, driven: step.driven });
}

/** Checks with a small signal what was connected since the last check. */
async function checkWhatChanged(walk: Walk, step: EnergisedStep): Promise<void> {
  if (!walk.wiringIsNew) return;
  const { plan, setup } = walk.request;
  await checkWiring(walk, step, (faults) => confirmSetUp(walk, correction(faults, step, plan, setup)));
  walk.wiringIsNew = false;
  await walk.request.bench.configure({ load_ohm: step.load_ohm, driven: step.driven });
}

/** Says where a run is taken up again. */
async function noteResumed(walk: Walk, { before, from, points }: EarlierSessions): Promise<void> {
  const at = walk.request.plan.steps[from]?.id;
  await walk.note('resume', `resumed at point ${points + 1}, ${at}; the session before was ${before}`);
}

/** What a person has confirmed before the run broke off may have changed since: of the connections, or of all else. */
async function confirmStillSo(walk: Walk, onceConnected: boolean): Promise<void> {
  const { plan, earlier } = walk.request;
  const asked = plan.steps
    .slice(0, earlier?.from ?? 0)
    .flatMap((step) => planOf(step).question(step) ?? [])
    .filter((question) => question.onceConnected === onceConnected)
    .map(({ text }) => text);
  if (asked.length > 0) await confirm(walk, stillSo(asked), ['same-set-up']);
}

/** Plays a step under a watch of its own; the output is silent when this returns or throws. */
async function playEnergised(walk: Walk, step: EnergisedStep): Promise<void> {
  const { setup, bench } = walk.request;
  const watch = new TripWatch(tripLimits(step, setup, SINE_CREST), setup, step, walk.unit.knownGains);
  let lost = null as Finding | null;
  const player = new TonePlayer(bench, (block, playing) => {
    throwIfInterrupted(walk.request.signal);
    const trip = watch.look(block, playing);
    if (trip) lost = lossFinding(step, trip, playing.stimulus);
    if (trip) throw new RunEnd(lost ? 'output-lost' : 'safety-limit', trip.text);
  });
  const captures = new CaptureTally();
  const stage: StepStage = { walk, step, player, captures, learn: (gains) => watch.learn(gains) };
  await inAnyCase(
    () => playOf(step)(stage),
    async () => {
      await player.stop();
      const told = captures.words();
      if (told !== null) await walk.note('settling', told);
      if (lost) await walk.emit({ kind: 'finding', finding: lost });
    },
  );
}

/** Says once a run what its figures take for granted, and which calibration records are past their due date. */
export async function noteOpening(walk: Walk): Promise<void> {
  const { setup } = walk.request;
  for (const { id, kind, due } of overdueRecords(setup))
    await walk.note('calibration', `The ${kind} record ${id} was due on ${due}: its values may have moved.`);
  for (const text of assumptions(setup)) await walk.note('assumption', text);
  for (const text of walk.request.memory?.words ?? []) await walk.note('warmth', text);
  // The bench file names its twin only: a run that is taken up must not go on with another.
  if (setup.interface.kind === 'simulated' && setup.interface.twinSha256 !== undefined)
    await walk.emit({ kind: 'twin', sha256: setup.interface.twinSha256, at_s: walk.at_s() });
}
