import { z } from 'zod';
import { eventsOfProse, type ProseEvent } from '../../record/events-of-prose.js';
import { findingsOfResults } from '../../record/findings-of-results.js';
import type { Result } from '../../record/old-results.js';
import type { Point } from '../../record/run-record.js';
import { name, number, prose } from '../../record/schema/fields.js';
import { type OldPoint, oldPointSchema } from '../reading-schema.js';
import { LONG_LISTS, longList, type PackedRun, RUN_FIELDS } from '../run-schema.js';
import { resultSchema } from './result-schema.js';

/** A run as bundles of format 1 hold it, which version 0.1 wrote. */
export interface PackedRun1 extends Omit<PackedRun, 'identity' | 'points' | 'findings' | 'events'> {
  readonly points: readonly OldPoint[];
  readonly results: readonly Result[];
  readonly events: readonly ProseEvent[];
}

const { findings, ...same } = LONG_LISTS;

export const LONG_LISTS_1 = {
  ...same,
  points: { ...LONG_LISTS.points, item: oldPointSchema },
  results: { ...findings, item: resultSchema },
  events: { ...LONG_LISTS.events, item: z.strictObject({ at_s: number, kind: name, text: prose }) },
};

export const run1Schema: z.ZodType<PackedRun1> = z.strictObject({
  ...RUN_FIELDS,
  points: longList(LONG_LISTS_1.points),
  results: longList(LONG_LISTS_1.results),
  events: longList(LONG_LISTS_1.events),
});

/** The same run as this version packs it. */
export function broughtUpToDate({ results, events, ...run }: PackedRun1): PackedRun {
  const points = run.points.map(
    (point): Point => ({ ...point, stepKind: point.stepKind === 'ceiling' ? 'max-power' : point.stepKind }),
  );
  return {
    ...run,
    identity: null,
    points,
    findings: findingsOfResults(results, points),
    events: eventsOfProse(events, run),
  };
}
