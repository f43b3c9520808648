import { isStepKind } from '../sequence/step-base.js';
import type { RunRecord } from './run-record.js';

/**
 * A run without what steps of a kind played that this version does not know: nobody can say what their readings show, so nothing may be
 * rated or judged by them. The same record where it has none.
 */
export function knownPart<T extends Pick<RunRecord, 'points' | 'readings'>>(record: T): T {
  const strange = new Set(
    record.points.filter(({ stepKind }) => !isStepKind(stepKind)).map(({ number }) => number),
  );
  if (strange.size === 0) return record;
  return {
    ...record,
    points: record.points.filter(({ number }) => !strange.has(number)),
    readings: record.readings.filter(({ point }) => !strange.has(point)),
  };
}
