import type { RunEvent } from './run-event.js';

/** The step that an event marks as entered; null for any other event. */
export const markedStep = (event: RunEvent): string | null =>
  event.kind === 'step-entered' ? event.step : null;
