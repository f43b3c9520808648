import { z } from 'zod';
import { eventsOfProse } from '../../record/events-of-prose.js';
import { findingsOfResults } from '../../record/findings-of-results.js';
import { resultSchema } from '../../record/old-results.js';
import type { Point } from '../../record/run-record.js';
import { name, number, prose, type Read } from '../../record/schema/fields.js';
import { pointSchema } from '../../record/schema/reading-schema.js';
import { LONG_LISTS, longList, type PackedRun, RUN_FIELDS } from '../run-schema.js';

const { findings, ...same } = LONG_LISTS;

/** What is now called `max-power` was a `ceiling`. */
const oldPointSchema = pointSchema.extend({
  stepKind: z.enum(['climb', 'sweep', 'ceiling', 'hold', 'warm-up']),
});

export const LONG_LISTS_1 = {
  ...same,
  points: { ...LONG_LISTS.points, item: oldPointSchema },
  results: { ...findings, item: resultSchema },
  events: { ...LONG_LISTS.events, item: z.strictObject({ at_s: number, kind: name, text: prose }) },
};

/** A run as bundles of format 1 hold it, which version 0.1 wrote. */
export const run1Schema = z.strictObject({
  ...RUN_FIELDS,
  points: longList(LONG_LISTS_1.points),
  results: longList(LONG_LISTS_1.results),
  events: longList(LONG_LISTS_1.events),
});

/** The same run as this version packs it. */
export function broughtUpToDate({ results, events, ...run }: Read<typeof run1Schema>): PackedRun {
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
