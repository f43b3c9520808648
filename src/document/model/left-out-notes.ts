import type { RunRecord } from '../../record/run-record.js';

/** What the run says of sweeps, or channels of a sweep, that were not played. */
export const leftOutNotes = ({ events }: Pick<RunRecord, 'events'>): string[] =>
  events.flatMap((event) => (event.kind === 'note' && event.topic === 'sweep' ? [event.text] : []));
