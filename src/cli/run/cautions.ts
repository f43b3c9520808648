import type { BenchSetup } from '../../bench/bench-setup.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { asTold, inputError } from '../../errors/error-table.js';
import { EXIT, OhmestError } from '../../errors/ohmest-error.js';
import type { RunRecord } from '../../record/run-record.js';
import { tripDelayWords } from '../../safety/armed-trips.js';
import { beforeConnecting, checklist } from '../../safety/checklist.js';
import { SUPPLY_QUESTION } from '../../safety/fault-voltage.js';
import { hazards } from '../../safety/hazards.js';
import type { Question } from '../../safety/question.js';
import { requireRatings } from '../../safety/supply-rating.js';
import { isWired, type Plan } from '../../sequence/plan.js';
import { BadQuantity } from '../../units/parse.js';
import { readingFrom } from '../calibrate/person-meter.js';
import { NobodyToAsk, nameOf, type Operator } from '../terminal/ask.js';
import type { Terminal } from '../terminal/terminal.js';

/** The person at the bench did not confirm a point of the checklist. */
export const ChecklistRefused = inputError('CHECKLIST_REFUSED', asTold);

/** The operator pressed Ctrl-C before anything was played. */
export class BrokenOff extends OhmestError {
  readonly code = 'BROKEN_OFF';
  readonly exitStatus = EXIT.interrupted;
}

const NOTHING_PLAYED = 'Nothing was played. Start again when every point can be confirmed';
const LEAST_SUPPLY_V = 1;
const MOST_SUPPLY_V = 10_000;

type Answers = RunRecord['checklist'];

/** What a person at the bench has confirmed so far. */
export interface Confirmed {
  readonly by: string;
  readonly answers: Answers;
  /** The bench with what was said of the unit's supply. */
  readonly setup: BenchSetup;
}

/** Says what can go wrong with a plan, on any bench. */
export function tellHazards(terminal: Terminal, plan: Plan, setup: BenchSetup): void {
  const tell = (text: string, indent: string) => terminal.err(wrapText(text, terminal.talkWidth, indent));
  for (const warning of plan.warnings ?? []) tell(`note: ${warning}`, '  ');
  for (const { text } of hazards(plan, setup)) tell(`! ${text}`, '  ');
  for (const text of tripDelayWords(plan, setup)) tell(`! ${text}`, '  ');
  const questions = checklist(plan, setup).length;
  if (!setup.energises && questions > 0)
    tell(
      `! On a bench with real power you would now confirm ${questions} safety points; ohmest plan lists them. This bench puts no power on any terminal.`,
      '  ',
    );
  if (setup.practice)
    tell(
      '! Practice: the bench file says that nothing real is connected. Answers may come through a pipe.',
      '  ',
    );
}

/** Says what can go wrong, and on a bench with real power has confirmed what must be so before anything is connected. */
export async function cautions(
  terminal: Terminal,
  operator: Operator,
  plan: Plan,
  setup: BenchSetup,
  signal: AbortSignal,
): Promise<Confirmed> {
  requireRatings(plan, setup);
  tellHazards(terminal, plan, setup);
  return setup.energises ? confirmBeforehand(operator, plan, setup, signal) : { by: '', answers: [], setup };
}

/** Who answers, what the unit's supply can put on its outputs, and the checklist up to the first connection. */
export async function confirmBeforehand(
  operator: Operator,
  plan: Plan,
  setup: BenchSetup,
  signal: AbortSignal,
): Promise<Confirmed> {
  const by = (await nameOf(operator, signal)) ?? throwBrokenOff();
  const questions = beforeConnecting(plan).map(({ text }) => ({ about: 'checklist', text }) as const);
  const answers = await confirmEach(operator, questions, by, signal);
  if (setup.unitSupply || !plan.steps.some(isWired)) return { by, answers, setup };
  const fault_V = await supplyOf(operator, signal);
  const known: BenchSetup = { ...setup, unitSupply: { kind: 'fault', outputs: null, fault_V } };
  requireRatings(plan, known);
  const answer = { item: SUPPLY_QUESTION, answer: `${fault_V} V`, by, at: new Date().toISOString() };
  return { by, answers: [...answers, answer], setup: known };
}

/** @throws BadQuantity when it is no voltage twice */
async function supplyOf(operator: Operator, signal: AbortSignal): Promise<number> {
  const asked = async () => {
    const typed = await operator.text(SUPPLY_QUESTION);
    if (signal.aborted) throwBrokenOff();
    const volts = readingFrom(typed, 'V');
    if (volts >= LEAST_SUPPLY_V && volts <= MOST_SUPPLY_V) return volts;
    throw new BadQuantity({
      what: `the supply of a unit is not ${typed.trim().slice(0, 40)}`,
      mend: `Give a voltage from ${LEAST_SUPPLY_V} V to ${MOST_SUPPLY_V} V`,
    });
  };
  try {
    return await asked();
  } catch (error) {
    if (!(error instanceof BadQuantity)) throw error;
    return asked();
  }
}

/** Has each question answered with yes. @throws ChecklistRefused at the first that is not */
export async function confirmEach(
  operator: Operator,
  questions: readonly Question[],
  by: string,
  signal: AbortSignal,
): Promise<Answers> {
  const answers: Answers[number][] = [];
  for (const question of questions) {
    const confirmed = await operator.confirm(question);
    if (signal.aborted) throwBrokenOff();
    if (!confirmed)
      throw new ChecklistRefused({ what: `not confirmed: ${question.text}`, mend: NOTHING_PLAYED });
    answers.push({ item: question.text, answer: 'yes', by, at: new Date().toISOString() });
  }
  return answers;
}

function throwBrokenOff(): never {
  throw new BrokenOff({ what: 'the checklist was interrupted', mend: NOTHING_PLAYED });
}

/** An answer in the middle of a run, where nobody may be left to give it. */
export async function confirmedOnTheWay(operator: Operator, question: Question): Promise<boolean | 'nobody'> {
  try {
    return await operator.confirm(question);
  } catch (error) {
    if (error instanceof NobodyToAsk) return 'nobody';
    throw error;
  }
}

/**
 * A reading of a meter that is typed in the middle of a run, a bare number in thousandths of the unit; null when the line is empty or
 * nobody is left. What cannot be read is asked for again.
 */
export async function readOnTheWay(
  { terminal, operator, signal }: AtTheBench,
  question: Question,
  unit: 'V',
): Promise<number | null> {
  for (;;) {
    try {
      const typed = (await operator.text(question.text, 'may-be-empty')).trim();
      return typed === '' || signal.aborted ? null : readingFrom(typed, unit, `m${unit}`);
    } catch (error) {
      if (error instanceof NobodyToAsk) return null;
      if (!(error instanceof BadQuantity)) throw error;
      terminal.err(`! ${error.message} Type it again.`);
    }
  }
}

interface AtTheBench {
  readonly terminal: Terminal;
  readonly operator: Operator;
  readonly signal: AbortSignal;
}
