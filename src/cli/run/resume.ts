import type { BenchSetup } from '../../bench/bench-setup.js';
import { HeldBench } from '../../bench/held-bench.js';
import { asTold, inputError } from '../../errors/error-table.js';
import type { RunRecord } from '../../record/run-record.js';
import {
  type EarlierSessions,
  earlierSessions,
  placeToGoOn,
  type RunSoFar,
} from '../../runner/course/earlier-sessions.js';
import { causeFound, type Question } from '../../safety/question.js';
import { makePlan } from '../../sequence/make-plan.js';
import type { Plan } from '../../sequence/plan.js';
import { readSequence } from '../../sequence/sequence-file.js';
import type { RunStore } from '../../store/contract/run-store.js';
import { RunBusy, RunComplete, RunImported } from '../../store/contract/store-errors.js';
import { openStore } from '../../store/sqlite/sqlite-store.js';
import { runNumber } from '../look/asked-runs.js';
import type { Operator } from '../terminal/ask.js';
import { FaultList } from '../terminal/fault-list.js';
import { checkedBench } from '../terminal/read-input.js';
import type { Terminal } from '../terminal/terminal.js';
import { requireWritable } from '../terminal/write-output.js';
import { benchFileOf, requireKnownKind, requireSameBench } from './bench-of-run.js';
import { type Confirmed, cautions, confirmEach } from './cautions.js';
import { consentTo } from './consent.js';
import { claimedPowers } from './given-claims.js';
import { holdSession, type SessionOptions } from './hold-session.js';
import { livePort } from './live-page.js';

export interface ResumeOptions extends SessionOptions {
  readonly bench?: string;
}

/** A run that its own limits have ended, with nobody present to say that the cause was found. */
export const CauseUnknown = inputError('CAUSE_UNKNOWN', asTold);

/** `ohmest resume`: goes on with a run that has ended before its last step. What it has stays. */
export async function resume(terminal: Terminal, typed: string, options: ResumeOptions): Promise<number> {
  const number = runNumber(typed);
  if (options.report !== undefined) requireWritable(options.report, 'page', options.db);
  const port = livePort(options.live);
  const store = await openStore(options.db, { mode: 'write' });
  try {
    const broken = await readBroken(store, number, options);
    const held = await HeldBench.take(await consentTo(terminal, broken.setup, options), 'ohmest resume');
    try {
      return await goOn(terminal, { store, broken, held, port }, options);
    } finally {
      await held.release();
    }
  } finally {
    await store.close();
  }
}

interface Resumption {
  readonly store: RunStore;
  readonly broken: BrokenRun;
  readonly held: HeldBench;
  readonly port: number | null | undefined;
}

async function goOn(
  terminal: Terminal,
  { store, broken, held, port }: Resumption,
  options: ResumeOptions,
): Promise<number> {
  const { record, plan, earlier, keepsCaptures } = broken;
  return await holdSession(terminal, {
    recording: {
      plan,
      held,
      unit: record.unit.label,
      claim: record.claim,
      keepCaptures: keepsCaptures,
      continued: { run: record.run, earlier },
    },
    options,
    store: async () => store,
    port,
    answers: (operator, signal) => answersOf(terminal, operator, broken, signal),
    announce: () =>
      terminal.err(
        `run ${record.run} resumes at point ${earlier.points + 1}, step ${plan.steps[earlier.from]?.id}`,
      ),
    again: record,
  });
}

/** A run that can go on, with all that it needs. */
interface BrokenRun {
  readonly record: Omit<RunRecord, keyof RunSoFar>;
  readonly keepsCaptures: boolean;
  readonly setup: BenchSetup;
  readonly plan: Plan;
  readonly earlier: EarlierSessions;
}

/** Everything that can be against it before the bench is looked at. @throws InputError */
async function readBroken(
  store: RunStore,
  number: number,
  { bench, permit }: ResumeOptions,
): Promise<BrokenRun> {
  const record = await store.run(number);
  if (record.origin) throw new RunImported(store.place, number);
  if (record.outcome === 'running') throw new RunBusy(store.place, number);
  if (record.outcome === 'completed') throw new RunComplete(store.place, number);
  requireKnownKind(record);
  const faults = new FaultList();
  const setup = checkedBench(bench ?? benchFileOf(record), faults);
  faults.throwIfAny();
  requireSameBench(record, setup!);
  const plan = planOf(record, setup!);
  const place = placeToGoOn(plan, record);
  const step = plan.steps[place];
  if (permit !== undefined && causeOf(record) !== null && setup!.energises)
    throw new CauseUnknown({
      what: `run ${number} was ${record.outcome} (${record.reason}), and under a permit nobody is present to confirm that the cause was found`,
      mend: 'Nothing was played. Resume without --permit, in person',
    });
  const earlier = earlierSessions(plan, record, step ? await store.settlings(number, step.id) : []);
  // What a long run has read is not to be held as long as it goes on.
  const { points: _p, readings, findings: _f, events: _e, probes: _s, ...head } = record;
  const keepsCaptures = readings.some(({ capture }) => capture !== null);
  return { record: head, keepsCaptures, setup: setup!, plan, earlier };
}

/** The sequence as it was then: its file may have changed, or be gone. */
function planOf({ run, sequence, claim }: RunRecord, setup: BenchSetup): Plan {
  const read = readSequence(sequence.text, `the sequence of run ${run}`);
  return makePlan(read, setup, { claims: claimedPowers(claim ?? '') });
}

/** What must have been found before a run that its own limits ended may go on; null when nothing must. */
function causeOf({ run, outcome, reason }: Pick<RunRecord, 'run' | 'outcome' | 'reason'>): Question | null {
  if (outcome !== 'tripped' && outcome !== 'stopped') return null;
  return causeFound(run, outcome, reason);
}

/** The whole checklist again, and after a trip or a stop that its cause was found. */
async function answersOf(
  terminal: Terminal,
  operator: Operator,
  { plan, setup, record }: BrokenRun,
  signal: AbortSignal,
): Promise<Confirmed> {
  const confirmed = await cautions(terminal, operator, plan, setup, signal);
  const cause = causeOf(record);
  if (cause === null) return confirmed;
  if (!setup.energises) {
    terminal.err(`! On a bench with real power you would now confirm this as well: ${cause.text}`);
    return confirmed;
  }
  const { by, answers } = confirmed;
  const found = await confirmEach(operator, [cause], by, signal);
  return { ...confirmed, answers: [...answers, ...found] };
}
