import type { BenchInHand } from '../../bench/held-bench.js';
import { kindOf } from '../../bench/kinds.js';
import { assumptions } from '../../calibration/assumptions.js';
import { overdueRecords } from '../../calibration/used-records.js';
import { eventWords } from '../../document/model/event-words.js';
import { judgeRun } from '../../judgement/judged-run.js';
import type { RunEvent } from '../../record/run-event.js';
import type { RunPart } from '../../record/run-part.js';
import type { RunRecord } from '../../record/run-record.js';
import type { EarlierSessions } from '../../runner/course/earlier-sessions.js';

import { endingBy, runPlan } from '../../runner/course/run-plan.js';
import type { Ask, AskReading, CourseEvent, PointCapture } from '../../runner/course/run-request.js';

import { armedTrips, tripDelayWords } from '../../safety/armed-trips.js';
import type { LoadMemory } from '../../safety/load-memory.js';
import type { Question } from '../../safety/question.js';
import { isEnergised, type Plan, planOf } from '../../sequence/plan.js';
import { encodeWav } from '../../signal/encode-wav.js';
import type { RunStore } from '../../store/contract/run-store.js';
import type { Ending, RunWriter } from '../../store/contract/run-writer.js';
import type { RunAbout } from '../../view/run-view.js';
import { RunWatch, type Watcher } from '../../view/run-watch.js';
import { ownVersion } from '../terminal/own-version.js';
import { openSensors } from './open-sensors.js';
import { openLog } from './run-log.js';
import type { UsablePermit } from './use-permit.js';

/** What is needed to play a plan and record it. */
export interface Recording {
  readonly store: RunStore;
  readonly plan: Plan;
  readonly held: BenchInHand;
  readonly unit: string;
  /** The maker's claim as it was given, and the permit that the run stands under. */
  readonly claim?: string | null;
  readonly permit?: UsablePermit | null;
  readonly checklist: RunRecord['checklist'];
  /** What other runs have left in the loads; absent or null where nothing real gets warm. */
  readonly memory?: LoadMemory | null;
  readonly keepCaptures: boolean;
  readonly ask: Ask;
  readonly askReading?: AskReading | undefined;
  readonly signal: AbortSignal;
  /** Whether every assumption gets a line; left out: they are counted. */
  readonly verbose?: boolean;
  /** Who looks on. */
  readonly watchers: readonly Watcher[];
  /** The run to go on with; left out: a new one. */
  readonly continued?: Continuation;
}

/** What is needed to go on with a run. */
export interface Continuation {
  readonly run: number;
  readonly earlier: EarlierSessions;
}

/** Plays a plan and records everything that comes of it. The run is closed whatever happens. */
export async function recordRun(recording: Recording): Promise<RunRecord> {
  const { store, plan, held, unit, watchers, continued } = recording;
  const { setup, bench } = held;
  const sensors = await openSensors(held);
  const say = (text: string) => watchers.forEach((watcher) => void watcher.say(text));
  const log = openLog(store.place, say);
  store.notices.forEach(say);
  const open = (id: string | null) => (continued ? reopened(recording, continued, id) : begun(recording, id));
  const writer = await (recording.permit?.begin(open) ?? open(null));
  const about = { run: writer.run, unit, bench: setup.name, sequence: plan.name };
  log.info(about, continued ? 'run resumed' : 'run begins');
  const watch = new RunWatch(aboutOf(recording, writer.run));
  for (const watcher of watchers) watcher.begin(watch);
  openPoints(recording).forEach(say);
  const listener = async (event: CourseEvent): Promise<void> => {
    await keep(recording, writer, event);
    watch.take(event);
    if (event.kind !== 'progress') log.info(forLog(event), event.kind);
    if (isToldAtOnce(event, recording.verbose === true)) say(eventWords(event)!.text);
  };
  try {
    const { signal, ask, askReading } = recording;
    await runPlan({
      plan,
      bench,
      setup,
      sensors,
      listener,
      ask: inSight(ask, watch),
      askReading: askReading && inSight(askReading, watch),
      signal,
      earlier: continued?.earlier ?? null,
      memory: recording.memory ?? null,
    });
  } catch (error) {
    const ending = endingBy('program-fault', error instanceof Error ? error.message : String(error));
    log.error({ run: writer.run, error: String(error) }, 'run failed');
    await writer.finish(ending);
    throw error;
  } finally {
    for (const watcher of watchers) watcher.end();
  }
  return await store.run(writer.run);
}

/** What those who look on are told before the first tone. */
function aboutOf({ plan, held: { setup }, unit, claim = null }: Recording, run: number): RunAbout {
  return {
    run,
    unit,
    bench: setup.name,
    simulated: kindOf(setup.kind).computed,
    sequence: plan.name,
    claim,
    claim_W: plan.claim_W ?? null,
    started: new Date().toISOString(),
    armed: [...armedTrips(plan, setup), ...tripDelayWords(plan, setup)],
    steps: plan.steps.map((step) => ({
      id: step.id,
      words: planOf(step).words(step),
      thresholds_percent: isEnergised(step) ? planOf(step).thresholds(step) : [],
    })),
  };
}

/** Notes that stand in the record, and are told only where every one is wanted: the first two are counted in one line. */
const NOT_TOLD: readonly string[] = ['assumption', 'calibration', 'settling'];

/** Whether an event is worth a line of its own while the run goes. An answer has been seen where it was given. */
const isToldAtOnce = (event: CourseEvent, verbose: boolean): event is RunEvent =>
  event.kind === 'note' && event.topic !== 'gain' && (verbose || !NOT_TOLD.includes(event.topic));

/** What the bench file leaves open, in one line. */
function openPoints({ held: { setup }, verbose }: Recording): string[] {
  const [open, due] = [assumptions(setup).length, overdueRecords(setup).length];
  if (verbose || open + due === 0) return [];
  const stated = setup.channels.every(
    ({ inputStated, attenuatorStated, loads }) =>
      inputStated && attenuatorStated && loads.every((load) => load.stated),
  );
  const parts = [
    ...(open === 0 ? [] : [`${counted(open, 'value')} assumed, not stated in the bench file`]),
    ...(stated ? [] : ['no power has an uncertainty']),
    ...(due === 0 ? [] : [`${counted(due, 'calibration record')} past due`]),
  ];
  return [`${parts.join('; ')} (--verbose lists ${open + due === 1 ? 'it' : 'them'})`];
}

const counted = (number: number, what: string): string =>
  `${number} ${what}${number === 1 ? ' is' : 's are'}`;

/** Asks the operator while those who look on see the question. */
function inSight<Rest extends unknown[], Answer>(
  ask: (question: Question, ...rest: Rest) => Promise<Answer>,
  watch: RunWatch,
) {
  return async (question: Question, ...rest: Rest): Promise<Answer> => {
    watch.asks(question.text);
    try {
      return await ask(question, ...rest);
    } finally {
      watch.asks(null);
    }
  };
}

function begun(recording: Recording, permit: string | null): Promise<RunWriter> {
  const { store, plan, held, unit, checklist, claim = null, keepCaptures } = recording;
  return store.begin({
    unit: { label: unit },
    bench: held.setup,
    plan,
    version: ownVersion(),
    checklist,
    claim,
    permit,
    keepsCaptures: keepCaptures,
  });
}

function reopened(
  { store, checklist, keepCaptures }: Recording,
  { run, earlier }: Continuation,
  permit: string | null,
): Promise<RunWriter> {
  const { at_s, points } = earlier;
  return store.resume(run, {
    at_s,
    first_point: points + 1,
    checklist,
    permit,
    keepsCaptures: keepCaptures,
  });
}

/** Puts an event where it belongs. When this is done, it is on disk. */
async function keep(recording: Recording, writer: RunWriter, event: CourseEvent): Promise<void> {
  switch (event.kind) {
    case 'point': {
      const { point, readings, settlings } = event;
      await writer.append({ kind: 'point', point, readings, settlings });
      if (recording.keepCaptures) await writer.append(captureOf(point.number, event.capture));
      break;
    }
    case 'sensor':
      await writer.append({ kind: 'sample', sample: event.sample });
      break;
    case 'finding':
      await writer.append({ kind: 'finding', finding: event.finding });
      break;
    case 'ended':
      await writer.append({ kind: 'event', event });
      await writer.finish({ ...event, ...(await concluded(recording, writer.run, event)) });
      break;
    case 'step-entered':
    case 'step-left':
    case 'answered':
    case 'twin':
    case 'note':
    case 'unknown':
      await writer.append({ kind: 'event', event });
      break;
    case 'progress':
      break;
    default:
      event satisfies never;
  }
}

/** What the run comes to, for other programs that read the database. A run ends all the same when nothing can be concluded. */
async function concluded(
  { store }: Recording,
  run: number,
  { outcome, reason }: Pick<Ending, 'outcome' | 'reason'>,
): Promise<Pick<Ending, 'conclusions'>> {
  try {
    const record = { ...(await store.run(run, { harmonics: false, spectra: false })), outcome, reason };
    const list = judgeRun(record).conclusions.map(({ code, sentence, ...detail }) => ({
      kind: code,
      text: sentence,
      detail,
    }));
    return { conclusions: { version: ownVersion(), list } };
  } catch (error) {
    openLog(store.place, () => {}).error({ run, error: String(error) }, 'nothing was concluded');
    return {};
  }
}

function captureOf(point: number, { rate_Hz, channels }: PointCapture): RunPart {
  const samples = channels.map((channel) => channel.samples);
  // A converter of 24 bits fits single precision; what does not must not be rounded, or it would read otherwise later.
  const single = samples.every((channel) => channel.every((sample) => Math.fround(sample) === sample));
  const bytes = encodeWav({ rate_Hz, channels: samples, format: single ? 'float32' : 'float64' });
  return {
    kind: 'capture',
    point,
    bytes,
    rate_Hz,
    frames: samples[0]!.length,
    channels: channels.map(({ channel }) => channel),
  };
}

/** An event without its samples and spectra. */
function forLog(event: Exclude<CourseEvent, { kind: 'progress' }>): object {
  if (event.kind !== 'point') return event;
  const readings = event.readings.map(({ channel, power_W, thdn_percent, flags }) => ({
    channel,
    power_W,
    thdn_percent,
    flags,
  }));
  return { point: event.point, readings };
}
