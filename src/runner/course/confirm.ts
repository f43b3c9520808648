import type { Subject } from '../../sequence/step-plan.js';
import { RunEnd, throwIfInterrupted } from './run-end.js';
import type { Walk } from './walk.js';

/**
 * Has the operator confirm something by hand; where nothing has to be done, it is only told.
 *
 * @param subjects what the answer is about, where something is later asked of it
 * @throws RunEnd when it was not confirmed
 */
export async function confirm(walk: Walk, text: string, subjects: readonly Subject[]): Promise<void> {
  const { bench, ask, signal } = walk.request;
  walk.unit.forget();
  const answered = (answer: 'confirmed' | 'refused' | 'not-needed') =>
    walk.emit({ kind: 'answered', subjects, text, answer, at_s: walk.at_s() });
  if (!bench.energises) {
    await answered('not-needed');
    return;
  }
  const asked_s = walk.at_s();
  const agreed = await ask(text);
  walk.guard.excuse(walk.at_s() - asked_s);
  throwIfInterrupted(signal);
  await answered(agreed ? 'confirmed' : 'refused');
  if (!agreed) throw new RunEnd('not-confirmed', `the operator did not confirm: ${text}`);
}
