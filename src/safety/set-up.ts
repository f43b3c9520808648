import { channelWords } from '../sequence/driven-channels.js';
import { type OperatorChange, operatorChange } from '../sequence/operator-change.js';
import { isWired, type Plan, type WiredStep } from '../sequence/plan.js';
import type { Tap } from '../sequence/step-base.js';
import { formatQuantity } from '../units/format.js';
import { listed } from '../units/listed.js';
import { type ChecklistItem, onConnections } from './checklist.js';
import type { SafetyBench } from './hazards.js';
import type { About, Question } from './question.js';

/** Connections that are made by hand before a step: first all of them with the unit off, then it is switched on. */
export interface SetUp {
  readonly connect: Question;
  /** What is confirmed on them while the unit is still off. */
  readonly checks: readonly Question[];
  readonly switchOn: Question;
}

const CAUTION = 'Measure that its outputs carry no voltage before you touch them: supplies stay charged.';
const HOT = ' Let the loads cool before you handle them.';
const ON =
  'Step back from the outputs and the loads, and switch the unit on. Is it on, without smoke, smell or unusual noise?';

/**
 * What the operator is asked to do before a step: exactly what to move, and only what is not as it was. Null
 * when everything stays.
 *
 * @param before the last step that needed loads; null for the first, for which everything is named
 */
export function setUp(
  step: WiredStep,
  before: WiredStep | null,
  plan: Plan,
  bench: SafetyBench,
): SetUp | null {
  const change = operatorChange(step, before);
  if (change === null) return null;
  const works = [loadWork(step, before, change), tapWork(step, change), mainsWork(change)];
  const about = before ? 'change' : 'set-up';
  // What is connected first serves every step that needs no more; of what is changed, only this one is known.
  const steps = before
    ? [step]
    : plan.steps.filter(isWired).filter(({ load_ohm }) => load_ohm === step.load_ohm);
  const checked = onConnections(steps, plan, bench).filter(
    ({ concernsTaps }) => change.load !== null || (change.taps !== null && concernsTaps),
  );
  const work = `${before ? HOT : ''} ${works.filter((one) => one !== null).join(' ')}`;
  return withTheUnitOff(about, `Switch the unit off. ${CAUTION}${work}`, checked);
}

const withTheUnitOff = (about: About, work: string, checks: readonly ChecklistItem[]): SetUp => ({
  connect: { about, text: `${work} Leave the unit off. Done?` },
  checks: checks.map(({ text }) => ({ about, text })),
  switchOn: { about, text: ON },
});

/** What is asked for the first step that needs loads; null when a plan plays nothing. */
export function firstSetUp(plan: Plan, bench: SafetyBench): SetUp | null {
  const first = plan.steps.find(isWired);
  return first ? setUp(first, null, plan, bench) : null;
}

/** A wrong connection, found by playing, that is put right by hand and then checked like any other. */
export function correction(
  faults: readonly string[],
  step: WiredStep,
  plan: Plan,
  bench: SafetyBench,
): SetUp {
  const work = `These connections are wrong: ${faults.join('; ')}. Switch the unit off. ${CAUTION}${HOT} Correct the connections.`;
  return withTheUnitOff('correction', work, onConnections([step], plan, bench));
}

function loadWork(step: WiredStep, before: WiredStep | null, { load }: OperatorChange): string | null {
  if (load === null) return null;
  const ohms = formatQuantity(step.load_ohm, 'ohm');
  const place = channelWords(load);
  const instead =
    before && before.load_ohm !== step.load_ohm
      ? ` in place of ${formatQuantity(before.load_ohm, 'ohm')}`
      : '';
  const each = load.length > 1 ? 'each of ' : '';
  // With fewer inputs than channels, where the taps go is said on its own.
  const taps = step.taps
    ? ''
    : load.length > 1
      ? ", with the tap of each at the load's own terminals"
      : ", with its tap at the load's own terminals";
  return `Connect ${ohms} to ${each}${place}${instead}${taps}.`;
}

function tapWork(step: WiredStep, { load, taps }: OperatorChange): string | null {
  // New loads need the taps at their terminals, also where those of other loads were.
  const moved = load === null ? taps : (step.taps ?? null);
  if (moved === null) return null;
  const places = moved.map(
    ({ input, channel, shunt }: Tap) =>
      `that of input ${input} at ${shunt ? 'the shunt of ' : ''}channel ${channel}`,
  );
  return `Put the ${moved.length > 1 ? 'taps' : 'tap'} at the load's own terminals: ${listed(places)}.`;
}

function mainsWork({ mains_V }: OperatorChange): string | null {
  if (mains_V === null) return null;
  if (mains_V === 'wall')
    return 'Take out the variable transformer, so that the unit runs directly on the mains.';
  return (
    `Set the mains of the unit to ${formatQuantity(mains_V, 'V', { figures: 4, trim: true })} with a variable transformer that can carry its current, ` +
    "within the range on the unit's nameplate, and check it with a meter. Such a transformer does not isolate, and limits no current."
  );
}
