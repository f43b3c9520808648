import type { BenchSetup } from '../../bench/bench-setup.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { asTold, inputError } from '../../errors/error-table.js';
import { EXIT, OhmestError } from '../../errors/ohmest-error.js';
import type { RunRecord } from '../../record/run-record.js';
import { checklist } from '../../safety/checklist.js';
import { hazards } from '../../safety/hazards.js';
import { tripDelayWords } from '../../safety/trip-delay.js';
import type { Plan } from '../../sequence/plan.js';
import { NobodyToAsk, type Operator } from '../terminal/ask.js';
import type { Terminal } from '../terminal/terminal.js';

/** The person at the bench did not confirm a point of the checklist. */
export const ChecklistRefused = inputError('CHECKLIST_REFUSED', asTold);

/** The operator pressed Ctrl-C before anything was played. */
export class BrokenOff extends OhmestError {
  readonly code = 'BROKEN_OFF';
  readonly exitStatus = EXIT.interrupted;
}

const NOTHING_PLAYED = 'Nothing was played. Start again when every point can be confirmed';

/** Says what can go wrong, and on a bench with real power has each point of the checklist confirmed. */
export async function cautions(
  terminal: Terminal,
  operator: Operator,
  plan: Plan,
  setup: BenchSetup,
  signal: AbortSignal,
): Promise<RunRecord['checklist']> {
  const tell = (text: string, indent: string) => terminal.err(wrapText(text, terminal.talkWidth, indent));
  for (const warning of plan.warnings ?? []) tell(`note: ${warning}`, '  ');
  for (const hazard of hazards(plan, setup)) tell(`! ${hazard.text}`, '  ');
  for (const text of tripDelayWords(plan, setup)) tell(`! ${text}`, '  ');
  const items = checklist(plan, setup);
  if (!setup.energises) {
    for (const item of items) tell(`  ${item.text}`, '    ');
    tell('  (nothing is asked: this bench puts no power on any terminal)', '    ');
    return [];
  }
  const by = await nameOf(operator, signal);
  return confirmEach(
    operator,
    items.map(({ text }) => text),
    by,
    signal,
  );
}

/** Who answers. @throws ChecklistRefused when no name is given */
export async function nameOf(operator: Operator, signal: AbortSignal): Promise<string> {
  const by = await operator.text('Your name, for the record:');
  throwIfBrokenOff(signal);
  if (by === '')
    throw new ChecklistRefused({ what: 'no name was given for the record', mend: NOTHING_PLAYED });
  return by;
}

/** Has each question answered with yes. @throws ChecklistRefused at the first that is not */
export async function confirmEach(
  operator: Operator,
  questions: readonly string[],
  by: string,
  signal: AbortSignal,
): Promise<RunRecord['checklist']> {
  const answers: RunRecord['checklist'][number][] = [];
  for (const item of questions) {
    const confirmed = await operator.confirm(item);
    throwIfBrokenOff(signal);
    if (!confirmed) throw new ChecklistRefused({ what: `not confirmed: ${item}`, mend: NOTHING_PLAYED });
    answers.push({ item, answer: 'yes', by, at: new Date().toISOString() });
  }
  return answers;
}

function throwIfBrokenOff(signal: AbortSignal): void {
  if (signal.aborted) throw new BrokenOff({ what: 'the checklist was interrupted', mend: NOTHING_PLAYED });
}

/** An answer in the middle of a run: when nobody is left to give it, it is no. */
export async function confirmedOnTheWay(operator: Operator, text: string): Promise<boolean> {
  try {
    return await operator.confirm(text);
  } catch (error) {
    if (error instanceof NobodyToAsk) return false;
    throw error;
  }
}
