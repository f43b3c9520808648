import type { RunRecord } from './run-record.js';

/** One visit of a step: from entering it to leaving it, or to whatever ended it. */
export interface StepVisit {
  readonly step: string;
  readonly from_s: number;
  readonly seconds: number;
}

/**
 * How long each visit of a step lasted, on the run's clock. A visit ends where its step is left, another is entered, the run
 * ends or a later session begins: what lay between two sessions belongs to neither. A run that stands still open ends with
 * its last event.
 */
export function stepVisits({ events, sessions }: Pick<RunRecord, 'events' | 'sessions'>): StepVisit[] {
  const breaks = sessions.map(({ at_s }) => at_s);
  return events.flatMap((event, i) => {
    if (event.kind !== 'step-entered') return [];
    const later = events.slice(i + 1);
    const end = later.find(
      (one) =>
        one.kind === 'step-entered' ||
        one.kind === 'ended' ||
        (one.kind === 'step-left' && one.step === event.step),
    );
    // Of a session that was killed nothing tells the end but the last thing that was kept.
    const broken_s = breaks.find((at_s) => at_s > event.at_s);
    const last_s = (end ?? later.at(-1) ?? event).at_s;
    const to_s = broken_s === undefined ? last_s : Math.min(last_s, broken_s);
    return [{ step: event.step, from_s: event.at_s, seconds: to_s - event.at_s }];
  });
}
