import { inputError } from '../../errors/error-table.js';
import type { Settling } from '../../measure/settled.js';
import { type Finding, findingKey } from '../../record/finding.js';
import { findingsOf, unknownFindingsOf } from '../../record/findings-of.js';
import type { Entry } from '../../record/run-event.js';
import type { Point, Reading, RunRecord } from '../../record/run-record.js';
import { markedStep } from '../../record/step-mark.js';
import { operatorChange } from '../../sequence/operator-change.js';
import { isWired, type Plan, type PlanStep, planOf, planOfKind } from '../../sequence/plan.js';
import { isStepKind } from '../../sequence/step-base.js';

/** The part of a run's record by which it can go on. */
export type RunSoFar = Pick<RunRecord, 'points' | 'readings' | 'findings' | 'events' | 'probes'>;

/** A point of the step that was broken off, with what each channel gave. */
export interface StoredPoint {
  readonly point: Point;
  readonly readings: readonly Reading[];
}

/** What earlier sessions of a run have left, as far as a later one needs it. */
export interface EarlierSessions {
  /** How the last of them ended, in words. */
  readonly before: string;
  /** Seconds on the run's clock at which the new session begins. */
  readonly at_s: number;
  /** Number of the last point; 0 when there is none. */
  readonly points: number;
  /** Place among the plan's steps of the one to go on with; all before it are done. */
  readonly from: number;
  /** What that step has read already and need not read again; nothing of a warm-up, which is played again as a whole. */
  readonly stored: readonly StoredPoint[];
  /** The points of sweeps before it, which a search for the full-band power goes on from. */
  readonly swept: readonly StoredPoint[];
  /** How the records behind its readings had settled, by `point/channel`. */
  readonly settlings: ReadonlyMap<string, Settling>;
  readonly findings: readonly Finding[];
  /** Keys of those that are not told again: what a step finds that is played again as a whole is new. */
  readonly known: ReadonlySet<string>;
  /** Every point and the powers read at it, for the warmth of the loads. */
  readonly heating: readonly Heating[];
}

/** What one point put into the loads. */
export interface Heating {
  readonly point: Pick<Point, 'step' | 'stepKind' | 'nominal_Hz' | 'driven' | 'load_ohm' | 'at_s'>;
  readonly powers: readonly { readonly channel: number; readonly power_W: number }[];
}

/** The sequence is laid out otherwise than when the run was begun, by another version of the program. */
export const RunDoesNotFit = inputError('RUN_DOES_NOT_FIT', (step: string) => ({
  what: `the run has a step '${step}' that its sequence no longer leads to on this bench`,
  mend: 'Resume it with the version of ohmest that began it, or start a new run',
}));

/** The run holds what only a later version knows: nobody can tell here what it had done. */
export const RunOfLaterVersion = inputError('RUN_OF_LATER_VERSION', (unknown: string) => ({
  what: `the run holds ${unknown}, which this version of ohmest does not know`,
  mend: 'Resume it with the version of ohmest that began it, or start a new run',
}));

/** @throws RunOfLaterVersion when the run holds a kind of step, an event or a finding that this version does not know */
function requireKnown(run: Pick<RunSoFar, 'events' | 'points' | 'findings'>): void {
  const kind = run.points.map(({ stepKind }): string => stepKind).find((name) => !isStepKind(name));
  if (kind !== undefined) throw new RunOfLaterVersion(`a step of the kind '${kind}'`);
  const event = run.events.find((one) => one.kind === 'unknown');
  if (event?.kind === 'unknown') throw new RunOfLaterVersion(`an event '${event.named}'`);
  const [finding] = unknownFindingsOf(run);
  if (finding) throw new RunOfLaterVersion(`a finding '${finding.quantity}'`);
}

/**
 * The place among a plan's steps at which a run goes on: the last step that it has entered, which may be done or not;
 * the first step when it has entered none.
 *
 * @throws RunDoesNotFit when the run has entered a step that the plan does not have
 */
export function placeToGoOn(plan: Plan, { events, points }: Pick<RunSoFar, 'events' | 'points'>): number {
  const places = new Map(plan.steps.map((step, place) => [step.id, place]));
  const entered = [...events.map(markedStep).filter((id) => id !== null), ...points.map(({ step }) => step)];
  let from = 0;
  for (const id of new Set(entered)) {
    const place = places.get(id);
    if (place === undefined) throw new RunDoesNotFit(id);
    from = Math.max(from, place);
  }
  const misfit = points.find(({ step, stepKind }) => plan.steps[places.get(step)!]!.kind !== stepKind);
  if (misfit) throw new RunDoesNotFit(misfit.step);
  return from;
}

/**
 * Gathers what a further session needs of the run's record, and lets go of the rest of it.
 *
 * @throws RunDoesNotFit, RunOfLaterVersion
 * @param settlings of the readings of the step to go on with, where they are known
 */
export function earlierSessions(
  plan: Plan,
  run: RunSoFar & { readonly outcome: string; readonly reason: string },
  settlings: readonly { point: number; channel: number; settling: Settling }[] = [],
): EarlierSessions {
  requireKnown(run);
  const from = placeToGoOn(plan, run);
  const step = plan.steps[from];
  const byPoint = new Map<number, Reading[]>(run.points.map(({ number }) => [number, []]));
  for (const reading of run.readings) byPoint.get(reading.point)?.push(reading);
  const findings = findingsOf(run);
  const readingsOf = ({ number }: Point) => byPoint.get(number)!;
  const storedOf = (points: readonly Point[]): StoredPoint[] =>
    points.map((point) => ({ point, readings: readingsOf(point).map(withoutSpectrum) }));
  const times = [...run.points, ...run.events, ...run.probes].map(({ at_s }) => at_s);
  return {
    before: `${run.outcome}: ${run.reason}`,
    at_s: times.reduce((latest, at_s) => Math.max(latest, at_s), 0),
    points: run.points.at(-1)?.number ?? 0,
    from,
    stored: storedOf(
      (step && planOf(step).resumes === 'here' ? run.points : []).filter((point) => point.step === step?.id),
    ),
    swept: storedOf(run.points.filter((point) => point.stepKind === 'sweep' && point.step !== step?.id)),
    settlings: new Map(settlings.map((one) => [`${one.point}/${one.channel}`, one.settling])),
    findings,
    known: new Set(
      findings.filter(({ setting }) => planOfKind(setting.step_kind).resumes === 'here').map(findingKey),
    ),
    heating: run.points.map((point) => heatingOf(point, readingsOf(point))),
  };
}

const withoutSpectrum = (reading: Reading): Reading => ({ ...reading, spectrum: null });

function heatingOf(point: Point, readings: readonly Reading[]): Heating {
  const { step, stepKind, nominal_Hz, driven, load_ohm, at_s } = point;
  return {
    point: { step, stepKind, nominal_Hz, driven, load_ohm, at_s },
    powers: readings.map(({ channel, power_W }) => ({ channel, power_W })),
  };
}

/** A step to be walked, and how it is entered. */
export interface Leg {
  readonly step: PlanStep;
  readonly entry: Entry;
}

/**
 * The steps that a session walks. One that takes up a run listens again in silence as the run did last, where nobody has
 * to come for it, plays the last warm-up again, all of it, and then goes on where the run was broken off.
 */
export function legsOf(plan: Plan, earlier: EarlierSessions | null): Leg[] {
  if (!earlier) return plan.steps.map((step) => ({ step, entry: 'first' }));
  const done = plan.steps.slice(0, earlier.from);
  const [current, ...rest] = plan.steps.slice(earlier.from);
  if (!current) return [];
  const last = (afterBreak: 'once-more' | 'once-more-as-it-stands') =>
    done.findLast((step) => planOf(step).afterBreak === afterBreak);
  const warmUp = planOf(current).afterBreak === 'once-more' ? undefined : last('once-more');
  const next = [warmUp, current, ...rest].find((step) => step !== undefined && isWired(step));
  const quiet = last('once-more-as-it-stands');
  const again = done.filter((step) => step === warmUp || (step === quiet && servesAsItIs(quiet, next)));
  return [
    ...again.map((step) => ({ step, entry: 'again' as const })),
    { step: current, entry: earlier.stored.length > 0 ? 'on' : 'again' },
    ...rest.map((step) => ({ step, entry: 'first' as const })),
  ];
}

/** Whether what a quiet step needs is what the next step needs too. */
const servesAsItIs = (quiet: PlanStep, next: PlanStep | undefined) =>
  isWired(quiet) && next !== undefined && isWired(next) && operatorChange(next, quiet) === null;
