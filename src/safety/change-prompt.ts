import { needsLoadChange } from '../sequence/load-change.js';
import type { EnergisedStep } from '../sequence/plan.js';
import { formatQuantity } from '../units/format.js';

/**
 * What the operator is asked to do before a step; null when the wiring stays as it is.
 *
 * @param before the energised step before it; null for the first
 */
export function changePrompt(step: EnergisedStep, before: EnergisedStep | null): string | null {
  if (!needsLoadChange(step, before)) return null;
  const load = formatQuantity(step.load_ohm, 'ohm');
  const [first, ...more] = step.driven;
  const channels = more.length === 0 ? `channel ${first}` : `channels ${step.driven.join(', ')}`;
  const caution = before ? ' The loads may be hot and the outputs live.' : '';
  const taps = `with the tap of each at the load's own terminals`;
  return `Switch the unit off, connect ${load} to ${channels} ${taps}, and switch it on again.${caution} Done?`;
}
