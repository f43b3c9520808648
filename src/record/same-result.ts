import type { Result } from './old-results.js';

/** What a result is about: two results of one run with the same key are one and the same figure. */
export function resultKey(result: Result): string {
  const threshold_percent = 'threshold_percent' in result ? result.threshold_percent : null;
  const nominal_Hz = 'nominal_Hz' in result ? result.nominal_Hz : null;
  return JSON.stringify([result.kind, result.step, result.channel, threshold_percent, nominal_Hz]);
}
