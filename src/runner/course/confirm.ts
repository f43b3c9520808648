import type { Question } from '../../safety/question.js';
import type { SetUp } from '../../safety/set-up.js';
import type { Subject } from '../../sequence/step-plan.js';
import { RunEnd, throwIfInterrupted } from './run-end.js';
import type { Walk } from './walk.js';

/**
 * Has the operator confirm something by hand; where nothing has to be done, it is only told.
 *
 * @param subjects what the answer is about, where something is later asked of it
 * @throws RunEnd when it was not confirmed, or nobody is there to do so
 */
export async function confirm(walk: Walk, question: Question, subjects: readonly Subject[]): Promise<void> {
  const { bench, ask, signal } = walk.request;
  const { text } = question;
  walk.unit.forget();
  const answered = (answer: 'confirmed' | 'refused' | 'not-needed') =>
    walk.emit({ kind: 'answered', subjects, text, answer, at_s: walk.at_s() });
  if (!bench.energises) {
    await answered('not-needed');
    return;
  }
  const asked_s = walk.at_s();
  const agreed = await ask(question);
  walk.guard.excuse(walk.at_s() - asked_s);
  throwIfInterrupted(signal);
  if (agreed === 'nobody') throw new RunEnd('needs-person', `a person is needed at the bench: ${text}`);
  await answered(agreed ? 'confirmed' : 'refused');
  if (!agreed) throw new RunEnd('not-confirmed', `the operator did not confirm: ${text}`);
}

/** Has connections made, then checked with the unit off, then the unit switched on. @throws RunEnd */
export async function confirmSetUp(walk: Walk, { connect, checks, switchOn }: SetUp): Promise<void> {
  // A bench without power has nothing to check on what it connects by itself.
  const steps = walk.request.bench.energises ? [connect, ...checks, switchOn] : [connect];
  for (const question of steps) await confirm(walk, question, ['connection']);
}

/**
 * Has the operator read a meter and type in what it shows, in base units of `unit`; null where nothing was measured, nobody is
 * there to do it, or there is nothing real to measure.
 */
export async function typedReading(walk: Walk, question: Question, unit: 'V'): Promise<number | null> {
  const { bench, askReading, signal } = walk.request;
  if (!bench.energises || !askReading) return null;
  const asked_s = walk.at_s();
  const reading = await askReading(question, unit);
  walk.guard.excuse(walk.at_s() - asked_s);
  throwIfInterrupted(signal);
  return reading;
}
