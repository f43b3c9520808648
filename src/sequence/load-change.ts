import type { EnergisedStep } from './plan.js';

/**
 * Whether somebody has to change the wiring of the loads before a step: at the first one, when the load
 * changes, and when a channel is driven that was not.
 */
export function needsLoadChange(step: EnergisedStep, before: EnergisedStep | null): boolean {
  if (!before || before.load_ohm !== step.load_ohm) return true;
  return step.driven.some((channel) => !before.driven.includes(channel));
}
